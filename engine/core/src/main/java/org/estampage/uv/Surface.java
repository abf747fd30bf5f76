package org.estampage.uv;

import java.util.Arrays;
import org.estampage.mesh.Adjacency;
import org.estampage.mesh.Bounds;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.Welding;

/**
 * A mesh as the unwrapper sees it: vertices at the same place are one, every edge has at most one neighbour, lengths are fractions of the diagonal.
 *
 * <p>Two edges that are alone between their vertices and run in opposite directions are neighbours. Where more meet, those that go on most smoothly are
 * neighbours, so that a sheet on which another one stands, or that lies twice, is not torn; the others are borders.
 *
 * @shape half-edge 3t + k runs from corner k of triangle t to the next one
 * @space the mesh's, moved to the middle of its bounds
 * @units the bounds' diagonal
 * @threads immutable by contract
 */
final class Surface {
    /** Stands for no neighbour. */
    static final int NONE = -1;
    /** The seam cost of the sharpest edge beside that of a flat one: not 0, so that of two ways along creases the shorter one is taken. */
    private static final double LEAST_FLATNESS = 0.01;
    /** Seams in grooves are seen less than seams on ridges. */
    private static final double CONCAVE = 0.6;

    /** How many triangles there are. */
    final int triangleCount;
    /** The mesh's diagonal; 1 where it is 0. */
    final double unit;
    /** xyz of each vertex. */
    final double[] xyz;
    /** The welded vertex at each corner. */
    final int[] corner;
    /** The neighbour of each half-edge, or {@link #NONE}. */
    final int[] opposite;
    /** Unit normals, three numbers a triangle; 0 where it has no area. */
    final double[] normal;
    /** Areas. */
    final double[] area;
    /** What a seam along each half-edge costs: its length, less where it turns sharply, still less in a groove. */
    final double[] cost;
    /** Triangles with two corners at one place: they have no neighbours and no area. */
    final boolean[] collapsed;
    /** The sum of areas. */
    final double totalArea;

    private Surface(Mesh mesh) {
        triangleCount = mesh.triangleCount();
        Bounds bounds = mesh.bounds();
        float[] positions = mesh.positions();
        double diagonal = bounds.diagonal();
        unit = diagonal > 0 ? diagonal : 1;
        xyz = new double[positions.length];
        double[] middle = bounds.middle();
        for (int i = 0; i < xyz.length; i++) {
            xyz[i] = (positions[i] - middle[i % 3]) / unit;
        }
        Adjacency adjacency = Adjacency.of(mesh, Welding.canonicalVertices(mesh));
        corner = adjacency.cornerVertices();
        opposite = adjacency.opposite().clone();
        normal = new double[3 * triangleCount];
        area = new double[triangleCount];
        collapsed = new boolean[triangleCount];
        double sum = 0;
        for (int t = 0; t < triangleCount; t++) {
            int a = corner[3 * t];
            int b = corner[3 * t + 1];
            int c = corner[3 * t + 2];
            collapsed[t] = Adjacency.repeats(corner, t);
            measure(t, a, b, c);
            sum += area[t];
        }
        totalArea = sum;
        pairSmoothly();
        cost = new double[opposite.length];
        for (int h = 0; h < cost.length; h++) {
            cost[h] = length(h);
            int o = opposite[h];
            if (o >= 0) {
                double flatness = Math.max(LEAST_FLATNESS, (1 + cosine(h / 3, o / 3)) / 2);
                cost[h] *= flatness * flatness * (concave(h, o) || concave(o, h) ? CONCAVE : 1);
            }
        }
    }

    /** Looks at a mesh whose positions are finite. */
    static Surface of(Mesh mesh) {
        return new Surface(mesh);
    }

    private void measure(int t, int a, int b, int c) {
        double ux = xyz[3 * b] - xyz[3 * a];
        double uy = xyz[3 * b + 1] - xyz[3 * a + 1];
        double uz = xyz[3 * b + 2] - xyz[3 * a + 2];
        double vx = xyz[3 * c] - xyz[3 * a];
        double vy = xyz[3 * c + 1] - xyz[3 * a + 1];
        double vz = xyz[3 * c + 2] - xyz[3 * a + 2];
        double x = uy * vz - uz * vy;
        double y = uz * vx - ux * vz;
        double z = ux * vy - uy * vx;
        double twice = Math.sqrt(x * x + y * y + z * z);
        area[t] = twice / 2;
        if (twice > 0) {
            normal[3 * t] = x / twice;
            normal[3 * t + 1] = y / twice;
            normal[3 * t + 2] = z / twice;
        }
    }

    /** Pairs what more than two triangles share, the smoothest continuations first, and turns what is left into borders. */
    private void pairSmoothly() {
        int count = 0;
        for (int h = 0; h < opposite.length; h++) {
            if (opposite[h] == Adjacency.NON_MANIFOLD && !collapsed[h / 3]) {
                count++;
            } else if (opposite[h] < 0) {
                opposite[h] = NONE;
            }
        }
        Integer[] crowded = new Integer[count];
        count = 0;
        for (int h = 0; h < opposite.length; h++) {
            if (opposite[h] == Adjacency.NON_MANIFOLD) {
                crowded[count++] = h;
                opposite[h] = NONE;
            }
        }
        // The sort is stable, so half-edges of one edge stay in the order of their numbers.
        Arrays.sort(crowded, (g, h) -> Long.compare(edgeKey(g), edgeKey(h)));
        for (int from = 0; from < count;) {
            int to = from + 1;
            while (to < count && edgeKey(crowded[to]) == edgeKey(crowded[from])) {
                to++;
            }
            pair(crowded, from, to);
            from = to;
        }
    }

    private long edgeKey(int h) {
        int a = corner[h];
        int b = corner[Adjacency.next(h)];
        return (long) Math.min(a, b) << 32 | Math.max(a, b);
    }

    private void pair(Integer[] crowded, int from, int to) {
        while (true) {
            int best = NONE;
            int bestOther = NONE;
            double smoothest = 0; // edges that turn by more than a right angle are no continuation
            for (int i = from; i < to; i++) {
                for (int j = i + 1; j < to; j++) {
                    int g = crowded[i];
                    int h = crowded[j];
                    if (opposite[g] == NONE && opposite[h] == NONE && corner[g] != corner[h] && cosine(g / 3, h / 3) > smoothest) {
                        smoothest = cosine(g / 3, h / 3);
                        best = g;
                        bestOther = h;
                    }
                }
            }
            if (best == NONE) {
                return;
            }
            opposite[best] = bestOther;
            opposite[bestOther] = best;
        }
    }

    /** Returns the cosine between two triangles' normals. */
    double cosine(int s, int t) {
        return normal[3 * s] * normal[3 * t] + normal[3 * s + 1] * normal[3 * t + 1] + normal[3 * s + 2] * normal[3 * t + 2];
    }

    /** Whether the far corner of o's triangle lies above h's. */
    private boolean concave(int h, int o) {
        int far = corner[Adjacency.previous(o)];
        int at = corner[h];
        double side = 0;
        for (int k = 0; k < 3; k++) {
            side += normal[3 * (h / 3) + k] * (xyz[3 * far + k] - xyz[3 * at + k]);
        }
        return side > 1e-7; // what rounding of the floats leaves of a flat edge, in diagonals
    }

    /** Returns the length of a half-edge. */
    double length(int h) {
        return distance(corner[h], corner[Adjacency.next(h)]);
    }

    double distance(int a, int b) {
        double x = xyz[3 * a] - xyz[3 * b];
        double y = xyz[3 * a + 1] - xyz[3 * b + 1];
        double z = xyz[3 * a + 2] - xyz[3 * b + 2];
        return Math.sqrt(x * x + y * y + z * z);
    }
}
