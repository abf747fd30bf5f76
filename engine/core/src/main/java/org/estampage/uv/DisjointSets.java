package org.estampage.uv;

/**
 * Sets that only grow together; a set is named by its lowest member.
 *
 * @threads confined
 */
final class DisjointSets {
    private final int[] parent;

    DisjointSets(int count) {
        parent = new int[count];
        for (int i = 0; i < count; i++) {
            parent[i] = i;
        }
    }

    int find(int member) {
        int m = member;
        while (parent[m] != m) {
            parent[m] = parent[parent[m]];
            m = parent[m];
        }
        return m;
    }

    /** Joins two sets; returns false when they were one already. */
    boolean join(int a, int b) {
        int x = find(a);
        int y = find(b);
        if (x == y) {
            return false;
        }
        parent[Math.max(x, y)] = Math.min(x, y);
        return true;
    }
}
