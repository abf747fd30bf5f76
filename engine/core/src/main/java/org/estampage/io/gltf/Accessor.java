package org.estampage.io.gltf;

import java.io.IOException;
import org.estampage.io.format.FormatException;
import org.estampage.io.shared.BinaryInput;
import org.jspecify.annotations.Nullable;

/**
 * A column of a buffer: so many elements of so many numbers each. That all of it lies inside its buffer is settled when it is made.
 *
 * @threads confined to one thread at a time
 */
final class Accessor {
    /** Small enough to stay in a core's cache between reading and converting. */
    private static final int WINDOW = 1 << 18;

    /**
     * Elements of a buffer at equal distances.
     *
     * @param offset from the buffer's start
     */
    record Elements(ByteRange bytes, long offset, int stride) {
    }

    /**
     * Elements in place of some others.
     *
     * @param at which ones
     */
    record Sparse(int count, ComponentType indexType, Elements at, Elements values) {
    }

    final JsonValue json;
    final int count;
    final int components;
    final ComponentType type;
    final boolean normalised;
    private final @Nullable Elements elements;
    private final @Nullable Sparse sparse;

    Accessor(JsonValue json, int count, int components, ComponentType type, boolean normalised, @Nullable Elements elements,
            @Nullable Sparse sparse) {
        this.json = json;
        this.count = count;
        this.components = components;
        this.type = type;
        this.normalised = normalised;
        this.elements = elements;
        this.sparse = sparse;
    }

    /** Takes elements from a window. */
    private interface Sink {
        void take(byte[] window, int first, int number, int stride) throws IOException;
    }

    private static void scan(Elements elements, int count, int size, Sink sink) throws IOException {
        int stride = elements.stride;
        int most = Math.max(1, (WINDOW - size) / stride + 1);
        byte[] window = new byte[(int) Math.min(size + (long) stride * (most - 1), size + (long) stride * Math.max(0, count - 1))];
        for (int first = 0; first < count; first += most) {
            int number = Math.min(most, count - first);
            elements.bytes.read(elements.offset + (long) stride * first, window, size + stride * (number - 1));
            sink.take(window, first, number, stride);
        }
    }

    /**
     * Puts the values into a list of vertices.
     *
     * @param as     whether whole numbers stand for 0 … 1 or −1 … 1
     * @param vertex where the first element goes
     * @param width  numbers a vertex, at least as many as an element has
     */
    void readFloats(boolean as, float[] dest, int vertex, int width) throws IOException {
        if (elements != null) {
            scan(elements, count, type.size * components, (window, first, number, stride) -> {
                for (int i = 0; i < number; i++) {
                    put(as, window, i * stride, dest, (vertex + first + i) * width);
                }
            });
        }
        if (sparse != null) {
            int[] at = sparseIndices(sparse);
            scan(sparse.values, sparse.count, type.size * components, (window, first, number, stride) -> {
                for (int i = 0; i < number; i++) {
                    put(as, window, i * stride, dest, (vertex + at[first + i]) * width);
                }
            });
        }
    }

    private void put(boolean as, byte[] window, int from, float[] dest, int to) {
        if (type == ComponentType.FLOAT) { // nearly always
            for (int k = 0; k < components; k++) {
                dest[to + k] = BinaryInput.floatAt(window, from + 4 * k);
            }
        } else {
            for (int k = 0; k < components; k++) {
                dest[to + k] = type.value(window, from + k * type.size, as);
            }
        }
    }

    private int[] sparseIndices(Sparse list) throws IOException {
        int[] at = new int[list.count];
        scan(list.at, list.count, list.indexType.size, (window, first, number, stride) -> {
            for (int i = 0; i < number; i++) {
                at[first + i] = checked(list.indexType.integer(window, i * stride), first + i, count);
            }
        });
        return at;
    }

    /** Puts indices into {@code dest}, from its start; each must be one of so many vertices. */
    void readIndices(int[] dest, int vertices) throws IOException {
        if (elements != null) {
            scan(elements, count, type.size, (window, first, number, stride) -> {
                for (int i = 0; i < number; i++) {
                    dest[first + i] = checked(type.integer(window, i * stride), first + i, vertices);
                }
            });
        }
        if (sparse != null) {
            int[] at = sparseIndices(sparse);
            scan(sparse.values, sparse.count, type.size, (window, first, number, stride) -> {
                for (int i = 0; i < number; i++) {
                    dest[at[first + i]] = checked(type.integer(window, i * stride), at[first + i], vertices);
                }
            });
        }
    }

    private int checked(int index, int element, int vertices) throws FormatException {
        if (Integer.compareUnsigned(index, vertices) >= 0) {
            throw json.wrongElement(element, Integer.toUnsignedString(index), "0 … " + (vertices - 1));
        }
        return index;
    }
}
