package org.estampage.image;

import java.lang.ref.Cleaner;
import java.util.Objects;
import org.estampage.task.MemoryBudget;

/**
 * A rectangle of float texels with 1 … 4 channels, row 0 on top, held in square tiles on the heap or in a temporary file.
 *
 * <p>It holds raw values (unit normals, heights in mesh units, linear colour …); its {@link Encoding} says how a file stores them. Arrays that
 * are passed in or out belong to the caller.
 *
 * @threads threads may write disjoint regions at once; once filled, safe for concurrent reading
 */
public final class FloatImage implements ImageSource {
    private static final Cleaner GIVES_BACK = Cleaner.create();

    /** Side of a tile in texels. */
    static final int TILE = 128;

    private final int width;
    private final int height;
    private final int channels;
    private final Encoding encoding;
    private final int tilesAcross;
    private final TileStore store;

    private FloatImage(int width, int height, Encoding encoding, int tilesAcross, TileStore store) {
        this.width = width;
        this.height = height;
        this.channels = encoding.channels();
        this.encoding = encoding;
        this.tilesAcross = tilesAcross;
        this.store = store;
    }

    /**
     * Makes an image of zeros on the heap.
     *
     * @throws IllegalArgumentException if a side is below 1, the area above 2³¹ − 1 texels, or there are not 1 … 4 channels
     */
    public static FloatImage create(int width, int height, Encoding encoding) {
        return create(width, height, encoding, MemoryBudget.ofBytes(Long.MAX_VALUE));
    }

    /**
     * Makes an image of zeros: on the heap where the budget has room for it, which is given back some time after the
     * image was last used, else in a temporary file.
     *
     * @throws IllegalArgumentException     if a side is below 1, the area above 2³¹ − 1 texels, or there are not 1 … 4 channels
     * @throws java.io.UncheckedIOException if there is no room in a temporary file either
     */
    public static FloatImage create(int width, int height, Encoding encoding, MemoryBudget budget) {
        Objects.requireNonNull(encoding, "encoding");
        if (width < 1 || height < 1 || (long) width * height > Integer.MAX_VALUE) {
            throw new IllegalArgumentException("size " + width + " × " + height + " must be positive and below 2^31 texels");
        }
        int channels = encoding.channels();
        if (channels < 1 || channels > 4) {
            throw new IllegalArgumentException("channels = " + channels + " must be 1 … 4");
        }
        int across = (width + TILE - 1) / TILE;
        int down = (height + TILE - 1) / TILE;
        int length = TILE * TILE * channels;
        long bytes = bytes(width, height, channels);
        if (!budget.tryReserve(bytes)) {
            return new FloatImage(width, height, encoding, across, TileStore.inFile(across * down, length));
        }
        TileStore store = TileStore.onHeap(across * down, length);
        GIVES_BACK.register(store, () -> budget.release(bytes)); // images share their texels with those of another encoding
        return new FloatImage(width, height, encoding, across, store);
    }

    /** Returns how many bytes the texels of an image take. */
    public static long bytes(int width, int height, int channels) {
        return (long) ((width + TILE - 1) / TILE) * ((height + TILE - 1) / TILE) * TILE * TILE * channels * Float.BYTES;
    }

    /** Returns this image. */
    @Override
    public FloatImage build() {
        return this;
    }

    /** Returns the width in texels. */
    public int width() {
        return width;
    }

    /** Returns the height in texels. */
    public int height() {
        return height;
    }

    /** Returns the number of channels, 1 … 4. */
    public int channels() {
        return channels;
    }

    /** Returns how a file stores the raw values. */
    public Encoding encoding() {
        return encoding;
    }

    /**
     * Returns a view of the same texels with another encoding.
     *
     * @throws IllegalArgumentException if it has another number of channels
     */
    public FloatImage withEncoding(Encoding other) {
        if (other.channels() != channels) {
            throw new IllegalArgumentException("the encoding has " + other.channels() + " channels, the image " + channels);
        }
        return new FloatImage(width, height, other, tilesAcross, store);
    }

    /**
     * Returns one raw value. For whole regions {@link #read} is faster.
     *
     * @throws IndexOutOfBoundsException if the texel or channel does not exist
     */
    public float get(int x, int y, int channel) {
        checkTexel(x, y, channel);
        return store.get(tileOf(x, y), offsetIn(x, y) + channel);
    }

    /**
     * Sets one raw value. For whole regions {@link #write} is faster.
     *
     * @throws IndexOutOfBoundsException if the texel or channel does not exist
     */
    public void set(int x, int y, int channel, float value) {
        checkTexel(x, y, channel);
        store.put(tileOf(x, y), offsetIn(x, y) + channel, value);
    }

    /**
     * Copies a region out.
     *
     * @param dest row by row from the top, channels interleaved; at least {@code w · h · channels} long
     * @return {@code dest}
     * @throws IndexOutOfBoundsException if the region is not inside the image
     * @throws IllegalArgumentException  if {@code dest} is too short
     */
    public float[] read(int x, int y, int w, int h, float[] dest) {
        checkRegion(x, y, w, h, dest.length);
        for (int row = 0; row < h; row++) {
            int at = row * w * channels;
            for (int column = 0; column < w;) {
                int run = Math.min(w - column, TILE - (x + column) % TILE);
                store.read(tileOf(x + column, y + row), offsetIn(x + column, y + row), dest, at + column * channels, run * channels);
                column += run;
            }
        }
        return dest;
    }

    /**
     * Copies a region in.
     *
     * @param source row by row from the top, channels interleaved; at least {@code w · h · channels} long
     * @throws IndexOutOfBoundsException if the region is not inside the image
     * @throws IllegalArgumentException  if {@code source} is too short
     */
    public void write(int x, int y, int w, int h, float[] source) {
        checkRegion(x, y, w, h, source.length);
        for (int row = 0; row < h; row++) {
            int at = row * w * channels;
            for (int column = 0; column < w;) {
                int run = Math.min(w - column, TILE - (x + column) % TILE);
                store.write(tileOf(x + column, y + row), offsetIn(x + column, y + row), source, at + column * channels, run * channels);
                column += run;
            }
        }
    }

    /**
     * Sets every texel to the given channel values.
     *
     * @throws IllegalArgumentException if there are not as many values as channels
     */
    public void fill(float... values) {
        if (values.length != channels) {
            throw new IllegalArgumentException(values.length + " values for " + channels + " channels");
        }
        float[] row = new float[width * channels];
        for (int i = 0; i < row.length; i++) {
            row[i] = values[i % channels];
        }
        for (int y = 0; y < height; y++) {
            write(0, y, width, 1, row);
        }
    }

    @Override
    public String toString() {
        return width + " × " + height + ", " + channels + (channels == 1 ? " channel" : " channels");
    }

    private int tileOf(int x, int y) {
        return y / TILE * tilesAcross + x / TILE;
    }

    private int offsetIn(int x, int y) {
        return (y % TILE * TILE + x % TILE) * channels;
    }

    private void checkTexel(int x, int y, int channel) {
        Objects.checkIndex(x, width);
        Objects.checkIndex(y, height);
        Objects.checkIndex(channel, channels);
    }

    private void checkRegion(int x, int y, int w, int h, int length) {
        Objects.checkFromIndexSize(x, w, width);
        Objects.checkFromIndexSize(y, h, height);
        if (length < (long) w * h * channels) {
            throw new IllegalArgumentException("an array of " + length + " floats is too short for " + w + " × " + h + " × " + channels);
        }
    }
}
