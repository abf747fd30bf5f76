package org.estampage.image;

import java.io.IOException;
import java.io.UncheckedIOException;
import java.lang.foreign.Arena;
import java.lang.foreign.MemorySegment;
import java.lang.foreign.ValueLayout;
import java.nio.channels.FileChannel;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardOpenOption;
import org.jspecify.annotations.Nullable;

/** Floats of equal tiles, in heap arrays or in a mapped temporary file. */
abstract sealed class TileStore {
    private static final class Heap extends TileStore {
        private final float[][] tiles;

        Heap(int tileCount, int tileLength) {
            tiles = new float[tileCount][tileLength];
        }

        @Override
        float get(int tile, int at) {
            return tiles[tile][at];
        }

        @Override
        void put(int tile, int at, float value) {
            tiles[tile][at] = value;
        }

        @Override
        void read(int tile, int at, float[] dest, int destAt, int length) {
            System.arraycopy(tiles[tile], at, dest, destAt, length);
        }

        @Override
        void write(int tile, int at, float[] source, int sourceAt, int length) {
            System.arraycopy(source, sourceAt, tiles[tile], at, length);
        }
    }

    private static final class Spill extends TileStore {
        private final MemorySegment floats;
        private final int tileLength;

        Spill(int tileCount, int tileLength) {
            this.tileLength = tileLength;
            Path file = null;
            try {
                file = Files.createTempFile("estampage-image", ".spill");
                try (FileChannel channel = FileChannel.open(file, StandardOpenOption.READ, StandardOpenOption.WRITE)) {
                    // An automatic arena: the mapping lives as long as the image can be reached, and no longer.
                    floats = channel.map(FileChannel.MapMode.READ_WRITE, 0, (long) tileCount * tileLength * Float.BYTES, Arena.ofAuto());
                }
            } catch (IOException e) {
                throw new UncheckedIOException(
                        "no room for an image's spill file of " + (long) tileCount * tileLength * Float.BYTES + " bytes", e);
            } finally {
                deleteNowOrAtExit(file);
            }
        }

        private static void deleteNowOrAtExit(@Nullable Path file) {
            if (file == null) {
                return;
            }
            try {
                // Where the system allows it the name goes now and the mapping stays; elsewhere the file goes with the JVM.
                Files.deleteIfExists(file);
            } catch (IOException e) {
                file.toFile().deleteOnExit();
            }
        }

        @Override
        float get(int tile, int at) {
            return floats.getAtIndex(ValueLayout.JAVA_FLOAT, (long) tile * tileLength + at);
        }

        @Override
        void put(int tile, int at, float value) {
            floats.setAtIndex(ValueLayout.JAVA_FLOAT, (long) tile * tileLength + at, value);
        }

        @Override
        void read(int tile, int at, float[] dest, int destAt, int length) {
            MemorySegment.copy(floats, ValueLayout.JAVA_FLOAT, ((long) tile * tileLength + at) * Float.BYTES, dest, destAt, length);
        }

        @Override
        void write(int tile, int at, float[] source, int sourceAt, int length) {
            MemorySegment.copy(source, sourceAt, floats, ValueLayout.JAVA_FLOAT, ((long) tile * tileLength + at) * Float.BYTES, length);
        }
    }

    static TileStore onHeap(int tileCount, int tileLength) {
        return new Heap(tileCount, tileLength);
    }

    static TileStore inFile(int tileCount, int tileLength) {
        return new Spill(tileCount, tileLength);
    }

    abstract float get(int tile, int at);

    abstract void put(int tile, int at, float value);

    abstract void read(int tile, int at, float[] dest, int destAt, int length);

    abstract void write(int tile, int at, float[] source, int sourceAt, int length);
}
