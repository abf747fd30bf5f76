package org.estampage.uv;

import java.util.Arrays;
import org.estampage.mesh.Adjacency;

/**
 * Finds edges and cheapest ways along edges between welded vertices of a surface.
 *
 * @threads confined
 */
final class SeamWays {
    private final Surface surface;
    private final int[] start;
    /** Half-edges by each of their two ends. */
    private final int[] at;

    SeamWays(Surface surface, int vertexCount) {
        this.surface = surface;
        start = new int[vertexCount + 1];
        int n = surface.corner.length;
        for (int h = 0; h < n; h++) {
            start[surface.corner[h]]++;
            start[surface.corner[Adjacency.next(h)]]++;
        }
        for (int v = 0, sum = 0; v <= vertexCount; v++) {
            int size = start[v];
            start[v] = sum;
            sum += size;
        }
        at = new int[2 * n];
        int[] fill = start.clone();
        for (int h = 0; h < n; h++) {
            at[fill[surface.corner[h]]++] = h;
            at[fill[surface.corner[Adjacency.next(h)]]++] = h;
        }
    }

    private int otherEnd(int h, int vertex) {
        int a = surface.corner[h];
        return a == vertex ? surface.corner[Adjacency.next(h)] : a;
    }

    /** Makes fixed seams of all edges between two vertices; returns whether there is one. */
    boolean fixEdge(Seams seams, int a, int b) {
        boolean found = false;
        for (int e = start[a]; e < start[a + 1]; e++) {
            if (otherEnd(at[e], a) == b) {
                seams.fix(at[e]);
                found = true;
            }
        }
        return found;
    }

    /** Makes fixed seams along the cheapest way between two vertices; returns whether there is one. */
    boolean fixWay(Seams seams, int from, int to) {
        double[] distance = new double[start.length - 1];
        int[] via = new int[distance.length];
        Arrays.fill(distance, Double.POSITIVE_INFINITY);
        distance[from] = 0;
        CostQueue queue = new CostQueue();
        queue.add(0, from, 0);
        while (queue.take() && queue.item() != to) {
            int v = queue.item();
            if (queue.cost() > distance[v]) {
                continue;
            }
            for (int e = start[v]; e < start[v + 1]; e++) {
                int w = otherEnd(at[e], v);
                double d = distance[v] + surface.cost[at[e]];
                if (d < distance[w]) {
                    distance[w] = d;
                    via[w] = v;
                    queue.add(d, w, 0);
                }
            }
        }
        if (Double.isInfinite(distance[to])) {
            return false;
        }
        for (int v = to; v != from; v = via[v]) {
            fixEdge(seams, v, via[v]);
        }
        return true;
    }
}
