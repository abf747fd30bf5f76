package org.estampage.image;

import java.util.ArrayList;
import java.util.List;
import java.util.Objects;
import java.util.stream.IntStream;
import org.estampage.task.Task;

/**
 * A chain of ever smaller images for lookups from afar: each level has half the sides of the one before, rounded down and at least 1.
 *
 * <p>A level's texel is the mean of the raw values under it, which are linear: of 2 × 2 texels where a side is even; where it is odd, the texels that two
 * share count in both by the part that lies in each, so that the whole image's mean stays. Identifiers take the most frequent one, the smallest of
 * equals. Each channel stands for itself: alpha weighs nothing.
 *
 * <p>Pad the image first ({@link Padding}), and don't pad the levels: then both sides of a seam with a gutter of at least 3 · 2ᴸ texels agree on level
 * L.
 *
 * @threads confined; {@link #build} runs in the caller's fork-join pool, else in the common one, with the same values for any number of threads
 */
public final class Mips {
    private final FloatImage image;
    private int smallest = 1;
    private boolean unitLength;
    private Task task = Task.silent();

    private Mips(FloatImage image) {
        this.image = image;
    }

    /** Starts a chain at an image, down to a single texel unless something else is said. */
    public static Mips of(FloatImage image) {
        return new Mips(Objects.requireNonNull(image, "image"));
    }

    /**
     * Ends the chain with the first level whose longer side is at most so many texels; 1 by default.
     *
     * @throws IllegalArgumentException if it is below 1
     */
    public Mips downTo(int texels) {
        if (texels < 1) {
            throw new IllegalArgumentException("texels = " + texels + " must be at least 1");
        }
        smallest = texels;
        return this;
    }

    /**
     * Brings the normals of each level to unit length, once all levels are made: the means themselves stay those of the image. Without it a normal is the
     * shorter, the more its texels differ.
     *
     * @throws IllegalArgumentException if the image does not hold normals
     */
    public Mips unitLength() {
        if (image.encoding().kind() != Encoding.Kind.NORMAL) {
            throw new IllegalArgumentException("unitLength is for images of normals, this one holds " + image.encoding().kind()
                    + "; FloatImage.withEncoding says what an image holds");
        }
        unitLength = true;
        return this;
    }

    /** Sets who hears of progress and can cancel, and how much memory the levels may take before they go to temporary files. */
    public Mips task(Task value) {
        task = Objects.requireNonNull(value, "value");
        return this;
    }

    /**
     * Returns the levels; number 0 is the image itself, unchanged.
     *
     * @edge a value that is not finite spreads to the levels' texels above it; normals that cancel out stay zero
     * @cost time in proportion to the texels; a third of the image's memory
     * @throws java.util.concurrent.CancellationException if the task was cancelled
     * @throws java.io.UncheckedIOException               if a level has room neither in the memory budget nor in a temporary file
     * @source for odd sides: S. Guthe, P. Heckbert, Non-Power-of-Two Mipmap Creation, 2005 (the polyphase box)
     */
    public List<FloatImage> build() {
        List<FloatImage> levels = new ArrayList<>(List.of(image));
        for (FloatImage last = image; Math.max(last.width(), last.height()) > smallest; last = levels.getLast()) {
            FloatImage next = FloatImage.create(Math.max(1, last.width() / 2), Math.max(1, last.height() / 2), image.encoding(),
                    task.memory());
            halve(last, next);
            levels.add(next);
        }
        for (FloatImage level : unitLength ? levels.subList(1, levels.size()) : List.<FloatImage>of()) {
            normalise(level);
        }
        return List.copyOf(levels);
    }

    private void halve(FloatImage from, FloatImage to) {
        Task.Stage stage = task.stage("mips", to.height());
        Share across = new Share(from.width());
        Share down = new Share(from.height());
        boolean ids = image.encoding().kind() == Encoding.Kind.ID;
        int channels = image.channels();
        IntStream.range(0, to.height()).parallel().forEach(y -> {
            float[] under = from.read(0, 2 * y, from.width(), down.count(), new float[from.width() * down.count() * channels]);
            float[] row = new float[to.width() * channels];
            for (int x = 0; x < to.width(); x++) {
                if (ids) {
                    majority(under, channels, across, x, down, y, row);
                } else {
                    mean(under, channels, across, x, down, y, row);
                }
            }
            to.write(0, y, to.width(), 1, row);
            stage.advance(1);
        });
    }

    private static void mean(float[] under, int channels, Share across, int x, Share down, int y, float[] dest) {
        for (int c = 0; c < channels; c++) {
            double sum = 0;
            for (int j = 0; j < down.count(); j++) {
                for (int i = 0; i < across.count(); i++) {
                    sum += (double) down.weight(y, j) * across.weight(x, i) * under[(j * across.side + 2 * x + i) * channels + c];
                }
            }
            dest[x * channels + c] = (float) (sum / ((double) across.total() * down.total()));
        }
    }

    private static void majority(float[] under, int channels, Share across, int x, Share down, int y, float[] dest) {
        int best = -1;
        long bestWeight = 0;
        int texels = across.count() * down.count();
        for (int a = 0; a < texels; a++) {
            int at = place(across, x, a);
            long weight = 0;
            for (int b = 0; b < texels; b++) {
                if (compare(under, channels, at, place(across, x, b)) == 0) {
                    weight += (long) down.weight(y, b / across.count()) * across.weight(x, b % across.count());
                }
            }
            if (best < 0 || weight > bestWeight || (weight == bestWeight && compare(under, channels, at, best) < 0)) {
                best = at;
                bestWeight = weight;
            }
        }
        System.arraycopy(under, best * channels, dest, x * channels, channels);
    }

    private static int place(Share across, int x, int number) {
        return number / across.count() * across.side + 2 * x + number % across.count();
    }

    private static int compare(float[] values, int channels, int a, int b) {
        for (int c = 0; c < channels; c++) {
            int order = Float.compare(values[a * channels + c], values[b * channels + c]);
            if (order != 0) {
                return order;
            }
        }
        return 0;
    }

    private void normalise(FloatImage level) {
        Task.Stage stage = task.stage("unit length", level.height());
        int channels = level.channels();
        IntStream.range(0, level.height()).parallel().forEach(y -> {
            float[] row = level.read(0, y, level.width(), 1, new float[level.width() * channels]);
            for (int at = 0; at < row.length; at += channels) {
                double square = 0;
                for (int c = 0; c < channels; c++) {
                    square += (double) row[at + c] * row[at + c];
                }
                double scale = square > 0 ? 1 / Math.sqrt(square) : 0;
                for (int c = 0; c < channels; c++) {
                    row[at + c] = (float) (row[at + c] * scale);
                }
            }
            level.write(0, y, level.width(), 1, row);
            stage.advance(1);
        });
    }

    /**
     * Which texels along one axis lie under a texel of half the side, and how much each counts, in whole numbers: for a side of 2m texels two of 1 each, from 2i on;
     * for 2m + 1 texels three of m − i, m and i + 1, from 2i on, since texel i reaches from i·(2 + 1/m) to (i + 1)·(2 + 1/m); for one texel itself.
     *
     * @param side the texels of the finer level
     */
    private record Share(int side) {
        private int half() {
            return side / 2;
        }

        int count() {
            return side == 1 ? 1 : side % 2 == 0 ? 2 : 3;
        }

        int weight(int i, int k) {
            return count() < 3 ? 1 : k == 0 ? half() - i : k == 1 ? half() : i + 1;
        }

        int total() {
            return count() < 3 ? count() : side;
        }
    }
}
