package org.estampage.mesh;

import org.estampage.task.Task;

/**
 * Finds vertices at exactly the same place, so that seams and hard edges don't tear a surface apart. Nothing is moved and no tolerance is used.
 *
 * @threads safe for concurrent calls
 */
public final class Welding {
    private static final int MAX_TABLE = 1 << 30;

    private Welding() {
    }

    /**
     * Returns for each vertex the lowest-numbered vertex at exactly the same position.
     *
     * @shape one vertex number a vertex of the mesh; {@code result[v] <= v}, {@code result[result[v]] == result[v]}
     * @edge −0 and 0 are the same; a position with a NaN equals nothing, not even itself, and stands alone; equal infinities are equal
     * @cost O(vertices) expected time; allocates the result and two to four ints a vertex
     */
    public static int[] canonicalVertices(Mesh mesh) {
        return canonicalVertices(mesh, Task.silent());
    }

    /**
     * Does the same for a task, which can be cancelled.
     *
     * @throws java.util.concurrent.CancellationException if it is
     */
    public static int[] canonicalVertices(Mesh mesh, Task task) {
        return canonical(mesh.positions(), task);
    }

    /** Returns every vertex as its own canonical one: for those who take vertices as triangles name them. */
    public static int[] unwelded(Mesh mesh) {
        int[] own = new int[mesh.vertexCount()];
        for (int v = 0; v < own.length; v++) {
            own[v] = v;
        }
        return own;
    }

    /** Returns for each triangle corner the canonical vertex it stands on. */
    static int[] cornerVertices(Mesh mesh, int[] canonical) {
        int[] indices = mesh.positionIndices();
        int[] corners = new int[indices.length];
        for (int c = 0; c < corners.length; c++) {
            corners[c] = canonical[indices[c]];
        }
        return corners;
    }

    /** Returns for each point xyz the first one with the same coordinates. */
    static int[] canonical(float[] xyz) {
        return canonical(xyz, Task.silent());
    }

    private static int[] canonical(float[] xyz, Task task) {
        int count = xyz.length / 3;
        int[] result = new int[count];
        int[] slots = new int[tableSize(count)];
        int mask = slots.length - 1;
        for (int i = 0; i < count; i++) {
            task.check(i);
            // Adding +0 turns −0 into +0 and changes no other value, so equal numbers have equal bits.
            float x = xyz[3 * i] + 0f, y = xyz[3 * i + 1] + 0f, z = xyz[3 * i + 2] + 0f;
            result[i] = i;
            if (Float.isNaN(x) || Float.isNaN(y) || Float.isNaN(z)) {
                continue;
            }
            int slot = hash(Float.floatToRawIntBits(x), Float.floatToRawIntBits(y), Float.floatToRawIntBits(z)) & mask;
            int other = slots[slot] - 1;
            while (other >= 0 && (xyz[3 * other] != x || xyz[3 * other + 1] != y || xyz[3 * other + 2] != z)) {
                slot = slot + 1 & mask;
                other = slots[slot] - 1;
            }
            if (other >= 0) {
                result[i] = other;
            } else {
                slots[slot] = i + 1;
            }
        }
        return result;
    }

    /** Returns for each element the first one with the same three numbers. */
    static int[] canonical(int[] a, int[] b, int[] c) {
        int[] result = new int[a.length];
        int[] slots = new int[tableSize(a.length)];
        int mask = slots.length - 1;
        for (int i = 0; i < a.length; i++) {
            int slot = hash(a[i], b[i], c[i]) & mask;
            int other = slots[slot] - 1;
            while (other >= 0 && (a[other] != a[i] || b[other] != b[i] || c[other] != c[i])) {
                slot = slot + 1 & mask;
                other = slots[slot] - 1;
            }
            if (other >= 0) {
                result[i] = other;
            } else {
                slots[slot] = i + 1;
                result[i] = i;
            }
        }
        return result;
    }

    /** Returns a power of two that leaves half the slots free, so that probe chains stay short. A slot holds element + 1; 0 is free. */
    private static int tableSize(int count) {
        int size = 16;
        while (size < 2L * count && size < MAX_TABLE) {
            size <<= 1;
        }
        return size;
    }

    /** Multiplies and folds so that grids and powers of two, whose low bits are all zero, still fill the table evenly. */
    private static int hash(int x, int y, int z) {
        long h = x * 0x9E3779B97F4A7C15L;
        h = (h ^ h >>> 29 ^ y) * 0xD6E8FEB86659FD93L;
        h = (h ^ h >>> 31 ^ z) * 0xA0761D6478BD642FL;
        h ^= h >>> 29;
        return (int) (h ^ h >>> 32);
    }
}
