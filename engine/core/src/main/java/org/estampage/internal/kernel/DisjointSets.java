package org.estampage.internal.kernel;

/**
 * Sets that only grow together; a set is named by its lowest member.
 *
 * @threads confined
 */
public final class DisjointSets {
    private final int[] parent;

    /** Makes a set of each of so many members. */
    public DisjointSets(int count) {
        parent = new int[count];
        for (int i = 0; i < count; i++) {
            parent[i] = i;
        }
    }

    /** Returns the lowest member of a member's set. */
    public int find(int member) {
        int m = member;
        while (parent[m] != m) {
            parent[m] = parent[parent[m]];
            m = parent[m];
        }
        return m;
    }

    /** Joins two sets; returns false when they were one already. */
    public boolean join(int a, int b) {
        int x = find(a);
        int y = find(b);
        if (x == y) {
            return false;
        }
        parent[Math.max(x, y)] = Math.min(x, y);
        return true;
    }
}
