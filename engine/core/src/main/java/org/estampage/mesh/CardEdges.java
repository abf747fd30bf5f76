package org.estampage.mesh;

import java.util.Arrays;

/**
 * Pairs edges where cards are: two triangles on the same places that look both ways, each of a sheet of its own.
 *
 * <p>The two sides of a card never face each other: along its rim both are open. Between two cards each side goes on. A card that stands on a surface leaves
 * it whole, and one that ends where a surface begins goes on with it on one side. Where none of this says who faces whom, the edge stays unpaired.
 *
 * @threads confined
 */
final class CardEdges {
    private final int[] corners;
    private final int[] twin;
    private final int[] opposite;
    private final EdgeRuns runs;

    private CardEdges(Adjacency adjacency, int[] twin) {
        corners = adjacency.cornerVertices();
        opposite = adjacency.opposite().clone();
        this.twin = twin;
        boolean[] skipped = adjacency.inOrder();
        for (int t = 0; t < skipped.length; t++) {
            skipped[t] &= twin[t] < 0;
        }
        runs = adjacency.runs(skipped);
    }

    /**
     * Returns an adjacency in which cards are two sheets.
     *
     * @param twin for each triangle, the other side of its card, or −1
     */
    static Adjacency apart(Adjacency adjacency, int[] twin) {
        CardEdges edges = new CardEdges(adjacency, twin);
        edges.pair();
        Adjacency apart = adjacency.paired(edges.opposite);
        int[] fan = new int[edges.corners.length];
        do {
            apart.fans(apart.borders(), fan);
        } while (edges.part(fan));
        return apart;
    }

    private void pair() {
        int[] order = runs.order();
        for (int from = 0, to; from < order.length; from = to) {
            to = runs.endOf(from);
            if (hasCard(from, to)) {
                pair(Arrays.copyOfRange(order, from, to));
            }
        }
    }

    private boolean hasCard(int from, int to) {
        for (int i = from; i < to; i++) {
            if (twin[runs.order()[i] / 3] >= 0) {
                return true;
            }
        }
        return false;
    }

    private void pair(int[] edges) {
        int[] single = Arrays.stream(edges).filter(e -> twin[e / 3] < 0).toArray();
        if (single.length == 2 && corners[single[0]] != corners[single[1]]) {
            join(single[0], single[1]);
            edges = Arrays.stream(edges).filter(e -> twin[e / 3] >= 0).toArray();
        }
        for (int e : edges) {
            int only = only(edges, e);
            if (only < 0) {
                opposite[e] = only;
            } else if (only(edges, only) == e) {
                join(e, only);
            } else {
                opposite[e] = Adjacency.NON_MANIFOLD;
            }
        }
    }

    private void join(int e, int f) {
        opposite[e] = f;
        opposite[f] = e;
    }

    /** Returns the only edge that runs the other way and isn't of the same card; BOUNDARY if there is none, NON_MANIFOLD if there are several. */
    private int only(int[] edges, int e) {
        int only = Adjacency.BOUNDARY;
        for (int f : edges) {
            if (corners[f] != corners[e] && f / 3 != twin[e / 3]) {
                only = only == Adjacency.BOUNDARY ? f : Adjacency.NON_MANIFOLD;
            }
        }
        return only;
    }

    /**
     * Unpairs the edges of cards at which, at both ends, the same fans meet more than once: sheets that are one farther off. Returns whether there were
     * any; fans are to be found anew then.
     */
    private boolean part(int[] fan) {
        int[] order = runs.order();
        boolean any = false;
        for (int from = 0, to; from < order.length; from = to) {
            to = runs.endOf(from);
            if (to > from + 2 && hasCard(from, to) && meetsTwice(fan, from, to)) {
                for (int i = from; i < to; i++) {
                    any |= opposite[order[i]] != Adjacency.NON_MANIFOLD;
                    opposite[order[i]] = Adjacency.NON_MANIFOLD;
                }
            }
        }
        return any;
    }

    private boolean meetsTwice(int[] fan, int from, int to) {
        int[] order = runs.order();
        for (int i = from; i < to; i++) {
            for (int j = i + 1; j < to; j++) {
                int e = order[i], f = order[j];
                boolean along = corners[e] == corners[f];
                int start = along ? f : Adjacency.next(f), end = along ? Adjacency.next(f) : f;
                if (opposite[e] != f && fan[e] == fan[start] && fan[Adjacency.next(e)] == fan[end]) {
                    return true;
                }
            }
        }
        return false;
    }
}
