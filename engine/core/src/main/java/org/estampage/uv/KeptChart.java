package org.estampage.uv;

import java.util.Arrays;
import org.estampage.mesh.Adjacency;

/**
 * A chart of a mesh's UVs that keeps its shape.
 *
 * @threads immutable by contract
 */
final class KeptChart {
    /** Where it comes from. */
    final UvCharts prop;
    /** Its triangles. */
    final int[] triangles;
    /** Its UV points, rising. */
    final int[] points;
    /** The places of its triangles' corners among {@link #points}. */
    final int[] corners;
    /** Least and largest u and v: left, bottom, right, top. */
    final double[] box;
    /** The area that it covers in UV space, counted for each triangle. */
    final double uvArea;
    /** Its triangles' area on the mesh. */
    final double area;
    /** Mesh units a unit of UV, by the lengths of its edges; 0 where it is a point. */
    final double stretch;

    KeptChart(UvCharts prop, int[] triangles) {
        this.prop = prop;
        this.triangles = triangles;
        int[] all = new int[3 * triangles.length];
        for (int c = 0; c < all.length; c++) {
            all[c] = prop.point[3 * triangles[c / 3] + c % 3];
        }
        points = Arrays.stream(all).sorted().distinct().toArray();
        for (int c = 0; c < all.length; c++) {
            all[c] = Arrays.binarySearch(points, all[c]);
        }
        corners = all;
        box = new double[] {Double.POSITIVE_INFINITY, Double.POSITIVE_INFINITY, Double.NEGATIVE_INFINITY, Double.NEGATIVE_INFINITY};
        for (int p : points) {
            for (int k = 0; k < 2; k++) {
                box[k] = Math.min(box[k], prop.uv[2 * p + k]);
                box[2 + k] = Math.max(box[2 + k], prop.uv[2 * p + k]);
            }
        }
        uvArea = shape(0, 0, 1, 1).area();
        double sum = 0;
        double lengths = 0;
        double uvLengths = 0;
        double[] edges = new double[9];
        for (int t : triangles) {
            for (int k = 0; k < 3; k++) {
                int c = 3 * t + k;
                int d = Adjacency.next(c);
                for (int i = 0; i < 3; i++) {
                    edges[3 * k + i] = prop.xyz[3 * prop.corner[d] + i] - prop.xyz[3 * prop.corner[c] + i];
                    lengths += edges[3 * k + i] * edges[3 * k + i];
                }
                for (int i = 0; i < 2; i++) {
                    double along = prop.uv[2 * prop.point[d] + i] - prop.uv[2 * prop.point[c] + i];
                    uvLengths += along * along;
                }
            }
            double x = edges[1] * edges[5] - edges[2] * edges[4];
            double y = edges[2] * edges[3] - edges[0] * edges[5];
            double z = edges[0] * edges[4] - edges[1] * edges[3];
            sum += Math.sqrt(x * x + y * y + z * z) / 2;
        }
        area = sum;
        stretch = uvLengths > 0 ? Math.sqrt(lengths / uvLengths) : 0;
    }

    /** Whether it covers nothing, in UV space or on the mesh. */
    boolean empty() {
        return !(uvArea > 0 && area > 0);
    }

    /**
     * Returns its shape with a place of UV space moved to the origin, enlarged.
     *
     * @param factor chart units a unit of UV
     */
    Chart shape(double u, double v, double factor, double weight) {
        double[] uv = new double[2 * points.length];
        for (int i = 0; i < points.length; i++) {
            uv[2 * i] = factor * (prop.uv[2 * points[i]] - u);
            uv[2 * i + 1] = factor * (prop.uv[2 * points[i] + 1] - v);
        }
        return new Chart(uv, corners, weight);
    }

    /** Returns the mesh's vertex at each point; the last triangle's where there are several. */
    int[] vertices() {
        int[] vertices = new int[points.length];
        for (int c = 0; c < corners.length; c++) {
            vertices[corners[c]] = prop.corner[3 * triangles[c / 3] + c % 3];
        }
        return vertices;
    }

    /** Returns what rounding of floats may do to its coordinates. */
    double rounding() {
        double most = 0;
        for (double side : box) {
            most = Math.max(most, Math.abs(side));
        }
        return Math.ulp((float) most);
    }

    /** Whether triangles face both ways, or it covers a place more than once; both by more than rounding explains. */
    boolean folded() {
        double rounding = rounding();
        boolean up = false;
        boolean down = false;
        for (int t : triangles) {
            int a = 2 * prop.point[3 * t];
            int b = 2 * prop.point[3 * t + 1];
            int c = 2 * prop.point[3 * t + 2];
            double[] uv = prop.uv;
            double du = uv[b] - uv[a];
            double dv = uv[b + 1] - uv[a + 1];
            double eu = uv[c] - uv[a];
            double ev = uv[c + 1] - uv[a + 1];
            // each of four factors is off by two roundings at most
            double slack = 2 * rounding * (Math.abs(du) + Math.abs(dv) + Math.abs(eu) + Math.abs(ev));
            double turn = du * ev - dv * eu;
            up |= turn > slack;
            down |= turn < -slack;
        }
        return (up && down) || shape(box[0], box[1], 1, 1).overlapsItself(4 * rounding);
    }
}
