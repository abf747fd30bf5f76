package org.estampage.uv;

import java.util.Arrays;
import org.estampage.internal.kernel.DisjointSets;
import org.estampage.mesh.Adjacency;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.Welding;

/**
 * The charts that a mesh's first UV set has: triangles on both sides of an edge are of one chart where their UVs are the same at both its ends, whatever
 * their indices, and however many triangles meet there.
 *
 * @shape point: one number a triangle corner, the same for the same UVs; uv: two numbers a point
 * @threads immutable by contract
 */
public final class UvCharts {
    /** The mesh. */
    final Mesh mesh;
    /** xyz of the mesh's vertices. */
    final double[] xyz;
    /** The welded vertex at each corner. */
    final int[] corner;
    /** The UV point at each corner. */
    final int[] point;
    /** Where the points lie. */
    final double[] uv;
    /** The triangles of each chart, rising; so are the charts' first triangles. */
    final int[][] charts;
    /** Whether no other triangle is joined to this one at the edge 3t + k. */
    final boolean[] border;

    private UvCharts(Mesh mesh, int[] corner, int[] point, double[] uv, int[][] charts, boolean[] border) {
        this.mesh = mesh;
        xyz = new double[mesh.positions().length];
        for (int i = 0; i < xyz.length; i++) {
            xyz[i] = mesh.positions()[i];
        }
        this.corner = corner;
        this.point = point;
        this.uv = uv;
        this.charts = charts;
        this.border = border;
    }

    /**
     * Finds the charts.
     *
     * @param mesh   with a UV set, positions and UVs finite
     * @param aspect what u is multiplied by, so that equal lengths along u and v are as many texels
     */
    static UvCharts of(Mesh mesh, double aspect) {
        Attribute set = mesh.uvSets().get(0);
        float[] values = set.values();
        long[] keys = new long[set.count()];
        for (int i = 0; i < keys.length; i++) {
            keys[i] = (long) bits(values[2 * i]) << 32 | Integer.toUnsignedLong(bits(values[2 * i + 1]));
        }
        Numbers points = new Numbers(keys);
        int[] corner = mesh.positionIndices().clone();
        int[] canonical = Welding.canonicalVertices(mesh);
        int[] point = new int[corner.length];
        long[] wedges = new long[corner.length];
        for (int c = 0; c < corner.length; c++) {
            corner[c] = canonical[corner[c]];
            point[c] = points.of(keys[set.indices()[c]]);
            wedges[c] = (long) corner[c] << 32 | point[c];
        }
        double[] uv = new double[2 * points.count()];
        for (int i = 0; i < keys.length; i++) {
            int p = points.of(keys[i]);
            uv[2 * p] = aspect * values[2 * i];
            uv[2 * p + 1] = values[2 * i + 1];
        }
        boolean[] border = new boolean[corner.length];
        return new UvCharts(mesh, corner, point, uv, charts(wedges, border), border);
    }

    /**
     * Returns the number of each triangle's chart, 0 for that of the lowest triangle, then on in the order of the charts' lowest triangles.
     *
     * @param mesh with a UV set, positions and UVs finite
     * @throws IllegalArgumentException if there is no UV set
     */
    public static int[] ofTriangles(Mesh mesh) {
        if (mesh.uvSets().isEmpty()) {
            throw new IllegalArgumentException(mesh.title() + " has no UV set");
        }
        int[][] charts = of(mesh, 1).charts;
        int[] number = new int[mesh.triangleCount()];
        for (int chart = 0; chart < charts.length; chart++) {
            for (int triangle : charts[chart]) {
                number[triangle] = chart;
            }
        }
        return number;
    }

    /** Returns the bits of a number; those of 0 for −0. */
    private static int bits(float value) {
        return Float.floatToRawIntBits(value + 0f);
    }

    private static int[][] charts(long[] wedges, boolean[] destBorder) {
        Numbers numbers = new Numbers(wedges);
        long[] edges = new long[wedges.length];
        for (int c = 0; c < edges.length; c++) {
            int a = numbers.of(wedges[c]);
            int b = numbers.of(wedges[Adjacency.next(c)]);
            edges[c] = (long) Math.min(a, b) << 32 | Math.max(a, b);
        }
        Numbers ofEdges = new Numbers(edges);
        int[] first = new int[ofEdges.count()];
        Arrays.fill(first, -1);
        DisjointSets sets = new DisjointSets(edges.length / 3);
        for (int c = 0; c < edges.length; c++) {
            int edge = ofEdges.of(edges[c]);
            if (first[edge] < 0) {
                first[edge] = c;
                destBorder[c] = true;
            } else {
                sets.join(first[edge] / 3, c / 3);
                destBorder[first[edge]] = false;
            }
        }
        int[] size = new int[edges.length / 3];
        int count = 0;
        for (int t = 0; t < size.length; t++) {
            count += sets.find(t) == t ? 1 : 0;
            size[sets.find(t)]++;
        }
        int[][] charts = new int[count][];
        int[] chart = new int[size.length];
        count = 0;
        for (int t = 0; t < size.length; t++) {
            int root = sets.find(t); // the lowest of its set, so met first
            if (root == t) {
                charts[count] = new int[size[t]];
                chart[t] = count++;
                size[t] = 0;
            }
            charts[chart[root]][size[root]++] = t;
        }
        return charts;
    }

    /** Numbers for the different ones of some keys, in the order of the keys. */
    private static final class Numbers {
        private final long[] sorted;

        Numbers(long[] keys) {
            long[] all = keys.clone();
            Arrays.sort(all);
            int n = 0;
            for (int i = 0; i < all.length; i++) {
                if (i == 0 || all[i] != all[i - 1]) {
                    all[n++] = all[i];
                }
            }
            sorted = Arrays.copyOf(all, n);
        }

        int of(long key) {
            return Arrays.binarySearch(sorted, key);
        }

        int count() {
            return sorted.length;
        }
    }
}
