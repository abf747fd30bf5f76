package org.estampage.io.stl;

import java.util.Arrays;
import org.estampage.io.shared.FloatList;
import org.estampage.io.shared.IntList;

/**
 * Numbers positions in the order they first come: equal ones get one number. −0 equals 0; a NaN equals the NaN of the same bits.
 *
 * @threads confined to one thread at a time
 */
final class Welder {
    private final FloatList positions;
    private final IntList indices;
    /** Vertex numbers by hash, linear probing; −1 where empty. */
    private int[] table;
    private int vertexCount;

    /** Begins with room for so many triangles. */
    Welder(int triangles) {
        positions = new FloatList((int) Math.min(Integer.MAX_VALUE - 8, 2L * triangles)); // a closed mesh has half as many vertices as triangles
        indices = new IntList((int) Math.min(Integer.MAX_VALUE - 8, 3L * triangles));
        table = new int[Math.max(16, Integer.highestOneBit(Math.min(triangles, 1 << 28)) * 2)];
        Arrays.fill(table, -1);
    }

    /** Adds a triangle corner. */
    void add(float fileX, float fileY, float fileZ) {
        float x = fileX + 0f, y = fileY + 0f, z = fileZ + 0f; // −0 + 0 = 0
        int mask = table.length - 1;
        int slot = hash(x, y, z) & mask;
        while (true) {
            int vertex = table[slot];
            if (vertex < 0) {
                break;
            }
            if (isAt(vertex, x, y, z)) {
                indices.add(vertex);
                return;
            }
            slot = (slot + 1) & mask;
        }
        table[slot] = vertexCount;
        indices.add(vertexCount);
        positions.add(x, y, z);
        vertexCount++;
        if (vertexCount > table.length / 2 && table.length < 1 << 30) {
            rehash();
        }
    }

    private boolean isAt(int vertex, float x, float y, float z) {
        return Float.floatToRawIntBits(positions.get(3 * vertex)) == Float.floatToRawIntBits(x)
                && Float.floatToRawIntBits(positions.get(3 * vertex + 1)) == Float.floatToRawIntBits(y)
                && Float.floatToRawIntBits(positions.get(3 * vertex + 2)) == Float.floatToRawIntBits(z);
    }

    private static int hash(float x, float y, float z) {
        long h = Float.floatToRawIntBits(x) * 0x9E3779B97F4A7C15L;
        h = (h ^ h >>> 29 ^ Float.floatToRawIntBits(y)) * 0xBF58476D1CE4E5B9L;
        h = (h ^ h >>> 29 ^ Float.floatToRawIntBits(z)) * 0x94D049BB133111EBL;
        return (int) (h >>> 32);
    }

    private void rehash() {
        int[] larger = new int[2 * table.length];
        Arrays.fill(larger, -1);
        int mask = larger.length - 1;
        for (int v = 0; v < vertexCount; v++) {
            int slot = hash(positions.get(3 * v), positions.get(3 * v + 1), positions.get(3 * v + 2)) & mask;
            while (larger[slot] >= 0) {
                slot = (slot + 1) & mask;
            }
            larger[slot] = v;
        }
        table = larger;
    }

    int triangleCount() {
        return indices.size() / 3;
    }

    /** Returns the positions; the last call but {@link #takeIndices}. */
    float[] takePositions() {
        return positions.take();
    }

    int[] takeIndices() {
        return indices.take();
    }
}
