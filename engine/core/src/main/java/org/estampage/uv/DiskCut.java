package org.estampage.uv;

import java.util.Arrays;
import org.estampage.internal.kernel.DisjointSets;
import org.estampage.mesh.Adjacency;

/**
 * Cuts a piece into a disk along cheap edges, whatever holes and handles it has.
 *
 * <p>All borders count as one root. Of the edges outside the tree of cheapest ways from the root those are left that the dearest loops' spanning tree of
 * triangles does not cross: two a handle and one a border beyond the first. Each is cut together with its ends' ways to the root. A closed piece takes a
 * vertex as its root; without handles it is cut along a way between two far vertices.
 *
 * @threads confined
 * @cost O(n log n)
 * @source Erickson, Whittlesey, Greedy Optimal Homotopy and Homology Generators, 2005 (tree and cotree), from memory; with borders as a root our own
 */
final class DiskCut {
    private final Seams seams;
    private final Surface surface;

    DiskCut(Seams seams) {
        this.seams = seams;
        this.surface = seams.surface;
    }

    /** Makes seams of edges inside a connected piece so that it becomes a disk. */
    void cut(Piece piece) {
        new Run(piece).cut();
    }

    private final class Run {
        private final Piece piece;
        private final int[] start;
        /** Half-edges 3i + k of the piece by the vertex they start at, those with a triangle across only. */
        private final int[] out;
        /** The piece's half-edge across each, −1 for none. */
        private final int[] across;
        private final double[] distance;
        /** The half-edge by which the cheapest way comes to a vertex; −1 at a root. */
        private final int[] via;

        Run(Piece piece) {
            this.piece = piece;
            int n = piece.corners.length;
            across = new int[n];
            start = new int[piece.vertexCount + 1];
            out = new int[n];
            distance = new double[piece.vertexCount];
            via = new int[piece.vertexCount];
            seams.number(piece.triangles);
            for (int c = 0; c < n; c++) {
                int h = global(c);
                int j = seams.across(h);
                across[c] = j < 0 ? -1 : 3 * j + surface.opposite[h] % 3;
                if (j >= 0) {
                    start[piece.corners[c] + 1]++;
                }
            }
            seams.clear(piece.triangles);
            for (int v = 0; v < piece.vertexCount; v++) {
                start[v + 1] += start[v];
            }
            int[] at = start.clone();
            for (int c = 0; c < n; c++) {
                if (across[c] >= 0) {
                    out[at[piece.corners[c]]++] = c;
                }
            }
        }

        private int global(int c) {
            return 3 * piece.triangles[c / 3] + c % 3;
        }

        private int end(int c) {
            return piece.corners[Adjacency.next(c)];
        }

        void cut() {
            if (piece.loopCount() > 0) {
                boolean[] root = new boolean[piece.vertexCount];
                // Vertices on a border are those whose fan is open.
                int[] in = new int[piece.vertexCount];
                for (int c : piece.corners) {
                    in[c]++;
                }
                for (int v = 0; v < piece.vertexCount; v++) {
                    root[v] = start[v + 1] - start[v] < in[v];
                }
                findWays(root);
                for (int c : generators()) {
                    cutLoop(c);
                }
                return;
            }
            int first = findWays(rootAt(0));
            if (piece.handles() == 0) {
                int far = findWays(rootAt(first));
                cutWay(far);
                return;
            }
            // A root on the cheapest loop serves better than any vertex.
            int[] loops = generators();
            findWays(rootAt(piece.corners[loops[loops.length - 1]]));
            for (int c : generators()) {
                cutLoop(c);
            }
            prune();
        }

        private boolean[] rootAt(int vertex) {
            boolean[] root = new boolean[piece.vertexCount];
            root[vertex] = true;
            return root;
        }

        /** Finds the cheapest way from the roots to each vertex; returns the farthest vertex. */
        private int findWays(boolean[] root) {
            Arrays.fill(distance, Double.POSITIVE_INFINITY);
            Arrays.fill(via, -1);
            CostQueue queue = new CostQueue();
            for (int v = 0; v < root.length; v++) {
                if (root[v]) {
                    distance[v] = 0;
                    queue.add(0, v, 0);
                }
            }
            int last = 0;
            while (queue.take()) {
                int v = queue.item();
                if (queue.cost() > distance[v]) {
                    continue;
                }
                last = v;
                for (int e = start[v]; e < start[v + 1]; e++) {
                    int w = end(out[e]);
                    double d = distance[v] + surface.cost[global(out[e])];
                    if (d < distance[w]) {
                        distance[w] = d;
                        via[w] = out[e];
                        queue.add(d, w, 0);
                    }
                }
            }
            return last;
        }

        /** Returns the edges whose loops over the root make the piece a disk when cut, the dearest first. */
        private int[] generators() {
            boolean[] way = new boolean[piece.corners.length];
            for (int c : via) {
                if (c >= 0) {
                    way[c] = true;
                    way[across[c]] = true;
                }
            }
            Integer[] edges = new Integer[piece.corners.length];
            int count = 0;
            for (int c = 0; c < across.length; c++) {
                if (c < across[c] && !way[c]) {
                    edges[count++] = c;
                }
            }
            Arrays.sort(edges, 0, count, (a, b) -> Double.compare(loop(b), loop(a))); // stable: ties keep their order
            DisjointSets joined = new DisjointSets(piece.triangles.length);
            int[] left = new int[count];
            int lefts = 0;
            for (int e = 0; e < count; e++) {
                int c = edges[e];
                if (!joined.join(c / 3, across[c] / 3)) {
                    left[lefts++] = c;
                }
            }
            return Arrays.copyOf(left, lefts);
        }

        private double loop(int c) {
            return distance[piece.corners[c]] + distance[end(c)] + surface.cost[global(c)];
        }

        private void cutLoop(int c) {
            seams.set(global(c), true);
            cutWay(piece.corners[c]);
            cutWay(end(c));
        }

        private void cutWay(int vertex) {
            int v = vertex;
            while (via[v] >= 0) {
                seams.set(global(via[v]), true);
                v = piece.corners[via[v]];
            }
        }

        /** Sews loose ends: cuts that lead to nothing. */
        private void prune() {
            int[] degree = new int[piece.vertexCount];
            for (int c = 0; c < across.length; c++) {
                if (seams.seam(global(c))) {
                    degree[piece.corners[c]]++; // each edge counts once at either end, by its two half-edges
                }
            }
            for (int v = 0; v < degree.length; v++) {
                int w = v;
                while (degree[w] == 1) {
                    degree[w] = 0;
                    int to = w;
                    for (int e = start[w]; e < start[w + 1]; e++) {
                        if (seams.seam(global(out[e]))) {
                            seams.set(global(out[e]), false);
                            to = end(out[e]);
                        }
                    }
                    degree[to]--;
                    w = to;
                }
            }
        }
    }
}
