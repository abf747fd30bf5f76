package org.estampage.uv;

import java.awt.geom.Line2D;
import java.util.Arrays;
import java.util.HashMap;
import java.util.Map;
import java.util.Set;
import java.util.TreeSet;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Mesh;
import org.estampage.testresources.Shape;

/** Slow, plain answers about a mesh and its first UV set; knows nothing of how UVs are made. */
final class UvOracle {
    private final Mesh mesh;
    private final float[] uv;
    private final int[] index;

    UvOracle(Mesh mesh) {
        this.mesh = mesh;
        Attribute set = mesh.uvSets().get(0);
        uv = set.values();
        index = set.indices();
    }

    static Mesh mesh(Shape shape) {
        return Mesh.builder(shape.positions(), shape.triangles()).build();
    }

    double u(int corner) {
        return uv[2 * index[corner]];
    }

    double v(int corner) {
        return uv[2 * index[corner] + 1];
    }

    double x(int corner, int k) {
        return mesh.positions()[3 * mesh.positionIndices()[corner] + k];
    }

    /** Twice the signed area in UV space. */
    double signed(int t) {
        int c = 3 * t;
        return (u(c + 1) - u(c)) * (v(c + 2) - v(c)) - (v(c + 1) - v(c)) * (u(c + 2) - u(c));
    }

    double area(int t) {
        double[] n = new double[3];
        for (int k = 0; k < 3; k++) {
            int i = (k + 1) % 3;
            int j = (k + 2) % 3;
            n[k] = (x(3 * t + 1, i) - x(3 * t, i)) * (x(3 * t + 2, j) - x(3 * t, j))
                    - (x(3 * t + 1, j) - x(3 * t, j)) * (x(3 * t + 2, i) - x(3 * t, i));
        }
        return Math.sqrt(n[0] * n[0] + n[1] * n[1] + n[2] * n[2]) / 2;
    }

    /** Triangles that lie the wrong way round by more than rounding of the floats explains. */
    int flips() {
        int flips = 0;
        for (int t = 0; t < mesh.triangleCount(); t++) {
            // A coordinate of 1 is rounded by 2⁻²⁵, a triangle of two sides of 1 by 4 · 2⁻²⁵.
            flips += signed(t) < -1.2e-7 * Math.max(1e-3, extent(t)) ? 1 : 0;
        }
        return flips;
    }

    private double extent(int t) {
        double[] box = box(t);
        return Math.max(box[2] - box[0], box[3] - box[1]);
    }

    private double[] box(int t) {
        double[] box = {u(3 * t), v(3 * t), u(3 * t), v(3 * t)};
        for (int k = 1; k < 3; k++) {
            box[0] = Math.min(box[0], u(3 * t + k));
            box[1] = Math.min(box[1], v(3 * t + k));
            box[2] = Math.max(box[2], u(3 * t + k));
            box[3] = Math.max(box[3], v(3 * t + k));
        }
        return box;
    }

    /** Pairs of triangles that lie in each other by more than {@code depth}: no line along an edge of one parts them. */
    int overlaps(double depth) {
        int n = mesh.triangleCount();
        double[][] box = new double[n][];
        for (int t = 0; t < n; t++) {
            box[t] = box(t);
        }
        int pairs = 0;
        for (int s = 0; s < n; s++) {
            for (int t = s + 1; t < n; t++) {
                double[] a = box[s];
                double[] b = box[t];
                boolean near = a[0] + depth < b[2] && b[0] + depth < a[2] && a[1] + depth < b[3] && b[1] + depth < a[3];
                pairs += near && !parted(s, t, depth) && !parted(t, s, depth) ? 1 : 0;
            }
        }
        return pairs;
    }

    private boolean parted(int s, int t, double depth) {
        double sign = signed(s) < 0 ? -1 : 1;
        for (int k = 0; k < 3; k++) {
            int a = 3 * s + k;
            int b = 3 * s + (k + 1) % 3;
            double du = u(b) - u(a);
            double dv = v(b) - v(a);
            double length = Math.sqrt(du * du + dv * dv);
            double most = Double.NEGATIVE_INFINITY;
            for (int m = 0; m < 3; m++) {
                most = Math.max(most, sign * (du * (v(3 * t + m) - v(a)) - dv * (u(3 * t + m) - u(a))));
            }
            if (length == 0 || most <= depth * length) {
                return true;
            }
        }
        return false;
    }

    /** The charts: triangles connected over shared UV entries on edges; a number a triangle. */
    int[] charts() {
        Map<Long, Integer> edge = new HashMap<>();
        int n = mesh.triangleCount();
        int[] chart = new int[n];
        Arrays.setAll(chart, t -> t);
        for (int t = 0; t < n; t++) {
            for (int k = 0; k < 3; k++) {
                int a = index[3 * t + k];
                int b = index[3 * t + (k + 1) % 3];
                Integer other = edge.put((long) Math.min(a, b) << 32 | Math.max(a, b), t);
                if (other != null) {
                    int x = root(chart, other);
                    int y = root(chart, t);
                    chart[Math.max(x, y)] = Math.min(x, y);
                }
            }
        }
        for (int t = 0; t < n; t++) {
            chart[t] = root(chart, t);
        }
        return chart;
    }

    private static int root(int[] parent, int t) {
        int r = t;
        while (parent[r] != r) {
            r = parent[r];
        }
        return r;
    }

    int chartCount() {
        return (int) Arrays.stream(charts()).distinct().count();
    }

    /**
     * The symmetric Dirichlet energy of each chart, by its first triangle, each with its own best scale: ¼ Σ A (σ₁² + σ₂² + σ₁⁻² + σ₂⁻²) / Σ A. With
     * P = Σ A (σ₁² + σ₂²) and Q = Σ A (σ₁⁻² + σ₂⁻²) a scale s gives s² P + Q / s², least 2 √(P Q).
     */
    Map<Integer, Double> distortion() {
        Map<Integer, double[]> sums = new HashMap<>();
        int[] chart = charts();
        for (int t = 0; t < mesh.triangleCount(); t++) {
            double area = area(t);
            if (!(area > 0)) {
                continue;
            }
            // The metric tensor of UVs over the triangle's own plane, by Gram matrices: trace of G⁻¹ H and of H⁻¹ G are the sums of σ² and σ⁻².
            double[] g = gram(t, true);
            double[] h = gram(t, false);
            double detG = g[0] * g[2] - g[1] * g[1];
            double detH = h[0] * h[2] - h[1] * h[1];
            double mixed = g[0] * h[2] + g[2] * h[0] - 2 * g[1] * h[1];
            double[] sum = sums.computeIfAbsent(chart[t], c -> new double[3]);
            sum[0] += area * mixed / detG;
            sum[1] += area * mixed / detH;
            sum[2] += area;
        }
        Map<Integer, Double> result = new HashMap<>();
        sums.forEach((c, s) -> result.put(c, 2 * Math.sqrt(s[0] * s[1]) / (4 * s[2])));
        return result;
    }

    private double[] gram(int t, boolean solid) {
        double[] sum = new double[3];
        int c = 3 * t;
        for (int k = 0; k < (solid ? 3 : 2); k++) {
            double a = solid ? x(c + 1, k) - x(c, k) : k == 0 ? u(c + 1) - u(c) : v(c + 1) - v(c);
            double b = solid ? x(c + 2, k) - x(c, k) : k == 0 ? u(c + 2) - u(c) : v(c + 2) - v(c);
            sum[0] += a * a;
            sum[1] += a * b;
            sum[2] += b * b;
        }
        return sum;
    }

    /** The mean distortion, weighted by area. */
    double meanDistortion() {
        Map<Integer, Double> of = distortion();
        int[] chart = charts();
        double sum = 0;
        double all = 0;
        for (int t = 0; t < mesh.triangleCount(); t++) {
            if (area(t) > 0) {
                sum += area(t) * of.getOrDefault(chart[t], Double.NaN);
                all += area(t);
            }
        }
        return sum / all;
    }

    /** UV length over length of each edge of a triangle corner to the next. */
    double scale(int corner, int other) {
        double solid = 0;
        for (int k = 0; k < 3; k++) {
            solid += (x(corner, k) - x(other, k)) * (x(corner, k) - x(other, k));
        }
        return Math.hypot(u(corner) - u(other), v(corner) - v(other)) / Math.sqrt(solid);
    }

    /** The vertex pairs of edges whose two triangles have different UVs there; borders are not among them. Vertices must be welded. */
    Set<String> seams() {
        Map<String, int[]> first = new HashMap<>();
        Set<String> seams = new TreeSet<>();
        int[] p = mesh.positionIndices();
        for (int c = 0; c < p.length; c++) {
            int d = c % 3 == 2 ? c - 2 : c + 1;
            boolean rising = p[c] < p[d];
            int[] here = {index[rising ? c : d], index[rising ? d : c]};
            String key = edge(p[c], p[d]);
            int[] there = first.put(key, here);
            if (there != null && !Arrays.equals(here, there)) {
                seams.add(key);
            }
        }
        return seams;
    }

    static String edge(int a, int b) {
        return Math.min(a, b) + "–" + Math.max(a, b);
    }

    /**
     * The least distance of two charts of any meshes, and of a chart and the border, in texels; by corners against edges, as triangles apart from each
     * other are nearest there.
     */
    static double[] gaps(int width, int height, Mesh... meshes) {
        double least = Double.POSITIVE_INFINITY;
        double border = Double.POSITIVE_INFINITY;
        for (Mesh mesh : meshes) {
            UvOracle here = new UvOracle(mesh);
            int[] chart = here.charts();
            for (Mesh other : meshes) {
                UvOracle there = new UvOracle(other);
                int[] charts = there.charts();
                for (int c = 0; c < 3 * chart.length; c++) {
                    double x = here.u(c) * width;
                    double y = here.v(c) * height;
                    border = Math.min(border, Math.min(Math.min(x, width - x), Math.min(y, height - y)));
                    for (int d = 0; d < 3 * charts.length; d++) {
                        if (other != mesh || chart[c / 3] != charts[d / 3]) {
                            int e = d % 3 == 2 ? d - 2 : d + 1;
                            least = Math.min(least, Line2D.ptSegDist(there.u(d) * width, there.v(d) * height, there.u(e) * width,
                                    there.v(e) * height, x, y));
                        }
                    }
                }
            }
        }
        return new double[] {least, border};
    }
}
