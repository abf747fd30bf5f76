package org.estampage.uv;

import java.util.Arrays;

/**
 * An order of a graph's vertices that keeps the factor of a sparse matrix sparse: halves before what parts them, over and over.
 *
 * @threads stateless; safe for concurrent calls
 * @source George, Nested Dissection of a Regular Finite Element Mesh, 1973, with level structures as in George and Liu, Computer Solution of Large Sparse
 *         Positive Definite Systems, 1981; from memory
 */
final class Dissection {
    /** Sets of fewer vertices are left as they are. */
    private static final int SMALL = 6;

    private final int[] start;
    private final int[] neighbours;
    private final int[] order;
    /** The set a vertex is in while sets are cut; −1 once its place is settled. */
    private final int[] set;
    private final int[] level;
    private final int[] queue;
    /** Sizes of the two halves last made. */
    private final int[] halves = new int[2];

    private Dissection(int[] start, int[] neighbours) {
        this.start = start;
        this.neighbours = neighbours;
        int n = start.length - 1;
        order = new int[n];
        Arrays.setAll(order, v -> v);
        set = new int[n];
        level = new int[n];
        queue = new int[n];
    }

    /**
     * Returns the vertices in their new order.
     *
     * @shape the neighbours of v stand in neighbours from start[v] to start[v + 1]
     * @cost about O(n log n) for flat graphs
     */
    static int[] order(int[] start, int[] neighbours) {
        Dissection d = new Dissection(start, neighbours);
        d.run();
        return d.order;
    }

    private void run() {
        int n = order.length;
        // Ranges that wait, as pairs of from and to.
        int[] waiting = new int[64];
        int depth = 0;
        waiting[depth++] = 0;
        waiting[depth++] = n;
        int sets = 0;
        while (depth > 0) {
            int to = waiting[--depth];
            int from = waiting[--depth];
            if (to - from <= SMALL) {
                continue;
            }
            sets++;
            for (int i = from; i < to; i++) {
                set[order[i]] = sets;
                level[order[i]] = -1;
            }
            int done = from;
            int[] members = Arrays.copyOfRange(order, from, to);
            for (int seed : members) {
                if (level[seed] >= 0) {
                    continue;
                }
                // Twice to the far end: the level structure becomes long and thin.
                int count = spread(seed, sets);
                count = spread(queue[count - 1], sets);
                int cut = count <= SMALL ? 0 : halve(done, count, sets);
                if (cut == 0) {
                    System.arraycopy(queue, 0, order, done, count);
                } else {
                    if (depth + 4 > waiting.length) {
                        waiting = Arrays.copyOf(waiting, 2 * waiting.length);
                    }
                    int near = halves[0];
                    waiting[depth++] = done;
                    waiting[depth++] = done + near;
                    waiting[depth++] = done + near;
                    waiting[depth++] = done + near + halves[1];
                }
                done += count;
            }
        }
    }

    /** Writes the queue's vertices as near half, far half, and those between; returns 0 when there is no second level. */
    private int halve(int at, int count, int number) {
        int last = level[queue[count - 1]];
        if (last < 1) {
            return 0;
        }
        int middle = Math.clamp(level[queue[count / 2]], last >= 2 ? 1 : 0, last - 1);
        int near = 0;
        int far = 0;
        int between = 0;
        for (int i = 0; i < count; i++) {
            int v = queue[i];
            if (level[v] > middle) {
                order[at + count - 1 - far++] = v;
            } else if (level[v] < middle || !beyond(v, number)) {
                order[at + near++] = v;
            } else {
                between++;
            }
        }
        // The far half was filled from the end; it moves in front of what parts it from the near one.
        System.arraycopy(order, at + count - far, order, at + near, far);
        int place = at + near + far;
        for (int i = 0; i < count; i++) {
            int v = queue[i];
            if (level[v] == middle && beyond(v, number)) {
                order[place++] = v;
            }
        }
        halves[0] = near;
        halves[1] = far;
        return between;
    }

    private boolean beyond(int v, int number) {
        for (int i = start[v]; i < start[v + 1]; i++) {
            int w = neighbours[i];
            if (set[w] == number && level[w] == level[v] + 1) {
                return true;
            }
        }
        return false;
    }

    /** Breadth first over one set from a vertex: fills the queue and the levels, returns how many it reached. */
    private int spread(int from, int number) {
        // A second spread starts over: levels of the same component are found again, so they are taken back first.
        if (level[from] >= 0) {
            int reached = 0;
            queue[reached++] = from;
            level[from] = -1;
            for (int i = 0; i < reached; i++) {
                for (int j = start[queue[i]]; j < start[queue[i] + 1]; j++) {
                    int w = neighbours[j];
                    if (set[w] == number && level[w] >= 0) {
                        level[w] = -1;
                        queue[reached++] = w;
                    }
                }
            }
        }
        int count = 0;
        queue[count++] = from;
        level[from] = 0;
        for (int i = 0; i < count; i++) {
            int v = queue[i];
            for (int j = start[v]; j < start[v + 1]; j++) {
                int w = neighbours[j];
                if (set[w] == number && level[w] < 0) {
                    level[w] = level[v] + 1;
                    queue[count++] = w;
                }
            }
        }
        return count;
    }
}
