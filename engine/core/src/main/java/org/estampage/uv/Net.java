package org.estampage.uv;

import java.util.Arrays;
import org.estampage.mesh.Adjacency;

/**
 * A patch made ready for solving: vertices in an order that keeps factors sparse, triangles in their own planes, edges numbered.
 *
 * <p>Lengths are divided so that the area is 1. A triangle lower than {@value #THINNEST} of its longest edge is taken to be that high, and one whose edges are
 * all shorter than {@value #THINNEST} of the mean triangle's size to be an even one of that size: so each has a shape to keep, a weight that hardly counts,
 * and may not flip.
 *
 * @shape corner: three vertices a triangle, in the new order; slope: the gradient of the function that is 1 at a corner and 0 at the others, two numbers a
 *        corner; edge: the number of the edge from a corner to the next; low: the lower end of an edge, edges sorted by their higher end, then their lower
 * @threads immutable by contract
 */
final class Net {
    /** Where thin triangles stop being taken as they are; a power of 2 near 1e-4: far thinner than what scans hold, far from where 1/σ² overflows. */
    static final double THINNEST = 1.0 / 8192;
    private static final double ROOT_OF_3 = Math.sqrt(3);

    /** The patch's vertices in the new order. */
    final int[] order;
    final int vertexCount;
    final int triangleCount;
    final int[] corner;
    final double[] slope;
    /** Areas of the triangles. */
    final double[] area;
    /** What areas add up to: 1 but for thin triangles. */
    final double totalArea;
    /** The patch's length for a length of 1 here. */
    final double unit;
    final int[] edge;
    final int[] low;
    /** Where the edges of a higher end begin. */
    final int[] edgeStart;
    /** The border, inside on the left. */
    final int[] border;
    /** Positions, three numbers a vertex. */
    final double[] xyz;

    Net(Patch patch, int[] patchBorder) {
        vertexCount = patch.vertexCount;
        triangleCount = patch.triangles.length / 3;
        order = dissect(patch);
        int[] place = new int[vertexCount];
        for (int i = 0; i < vertexCount; i++) {
            place[order[i]] = i;
        }
        corner = new int[3 * triangleCount];
        for (int c = 0; c < corner.length; c++) {
            corner[c] = place[patch.triangles[c]];
        }
        border = new int[patchBorder.length];
        for (int i = 0; i < border.length; i++) {
            border[i] = place[patchBorder[i]];
        }
        unit = unit(patch);
        xyz = new double[3 * vertexCount];
        for (int v = 0; v < vertexCount; v++) {
            for (int k = 0; k < 3; k++) {
                xyz[3 * v + k] = (patch.xyz[3 * order[v] + k] - patch.xyz[k]) / unit;
            }
        }
        slope = new double[6 * triangleCount];
        area = new double[triangleCount];
        totalArea = flattenEach();
        long[] keys = new long[3 * triangleCount];
        for (int c = 0; c < keys.length; c++) {
            keys[c] = key(corner[c], corner[Adjacency.next(c)]);
        }
        Arrays.sort(keys);
        int count = 0;
        for (int i = 0; i < keys.length; i++) {
            if (i == 0 || keys[i] != keys[i - 1]) {
                keys[count++] = keys[i];
            }
        }
        low = new int[count];
        edgeStart = new int[vertexCount + 1];
        for (int e = 0; e < count; e++) {
            low[e] = (int) keys[e];
            edgeStart[(int) (keys[e] >> 32) + 1]++;
        }
        for (int v = 0; v < vertexCount; v++) {
            edgeStart[v + 1] += edgeStart[v];
        }
        edge = new int[3 * triangleCount];
        for (int c = 0; c < edge.length; c++) {
            int a = corner[c];
            int b = corner[Adjacency.next(c)];
            int high = Math.max(a, b);
            edge[c] = Arrays.binarySearch(low, edgeStart[high], edgeStart[high + 1], Math.min(a, b));
        }
    }

    private static long key(int a, int b) {
        return (long) Math.max(a, b) << 32 | Math.min(a, b);
    }

    private static int[] dissect(Patch patch) {
        int n = patch.vertexCount;
        int[] t = patch.triangles;
        long[] pairs = new long[2 * t.length];
        for (int c = 0; c < t.length; c++) {
            int b = t[Adjacency.next(c)];
            pairs[2 * c] = (long) t[c] << 32 | b;
            pairs[2 * c + 1] = (long) b << 32 | t[c];
        }
        Arrays.sort(pairs);
        int[] start = new int[n + 1];
        int[] neighbours = new int[pairs.length];
        int count = 0;
        for (int i = 0; i < pairs.length; i++) {
            if (i == 0 || pairs[i] != pairs[i - 1]) {
                start[(int) (pairs[i] >> 32) + 1]++;
                neighbours[count++] = (int) pairs[i];
            }
        }
        for (int v = 0; v < n; v++) {
            start[v + 1] += start[v];
        }
        return Dissection.order(start, neighbours);
    }

    /** The side of a square as large as the patch; where it has no area, its longest edge; where that is none, 1. */
    private static double unit(Patch patch) {
        double sum = 0;
        double longest = 0;
        double[] n = new double[3];
        for (int t = 0; t < patch.triangles.length; t += 3) {
            int a = 3 * patch.triangles[t];
            int b = 3 * patch.triangles[t + 1];
            int c = 3 * patch.triangles[t + 2];
            double square = 0;
            for (int k = 0; k < 3; k++) {
                int i = (k + 1) % 3;
                int j = (k + 2) % 3;
                n[k] = (patch.xyz[b + i] - patch.xyz[a + i]) * (patch.xyz[c + j] - patch.xyz[a + j])
                        - (patch.xyz[b + j] - patch.xyz[a + j]) * (patch.xyz[c + i] - patch.xyz[a + i]);
                square += (patch.xyz[b + k] - patch.xyz[a + k]) * (patch.xyz[b + k] - patch.xyz[a + k]);
            }
            sum += Math.sqrt(n[0] * n[0] + n[1] * n[1] + n[2] * n[2]) / 2;
            longest = Math.max(longest, square);
        }
        // Flatter than rounding of the coordinates can tell from none.
        if (sum > 1e-12 * longest) {
            return Math.sqrt(sum);
        }
        return longest > 0 ? Math.sqrt(longest) : 1;
    }

    private double flattenEach() {
        double least = THINNEST * Math.sqrt(1.0 / triangleCount);
        double sum = 0;
        for (int t = 0; t < triangleCount; t++) {
            int longest = 0;
            double[] length = new double[3];
            for (int k = 0; k < 3; k++) {
                length[k] = distance(corner[3 * t + k], corner[3 * t + (k + 1) % 3]);
                longest = length[k] > length[longest] ? k : longest;
            }
            double base = length[longest];
            double foot;
            double height;
            if (base < least) {
                base = least;
                foot = base / 2;
                height = ROOT_OF_3 / 2 * base;
            } else {
                int a = 3 * corner[3 * t + longest];
                int b = 3 * corner[3 * t + (longest + 1) % 3];
                int c = 3 * corner[3 * t + (longest + 2) % 3];
                double along = 0;
                for (int k = 0; k < 3; k++) {
                    along += (xyz[b + k] - xyz[a + k]) * (xyz[c + k] - xyz[a + k]);
                }
                foot = along / base;
                double square = 0;
                for (int k = 0; k < 3; k++) {
                    double d = xyz[c + k] - xyz[a + k] - foot / base * (xyz[b + k] - xyz[a + k]);
                    square += d * d;
                }
                height = Math.max(Math.sqrt(square), THINNEST * base);
            }
            // a = (0, 0), b = (base, 0), c = (foot, height).
            int i = 6 * t;
            int pa = i + 2 * longest;
            int pb = i + 2 * ((longest + 1) % 3);
            int pc = i + 2 * ((longest + 2) % 3);
            slope[pa] = -1 / base;
            slope[pa + 1] = (foot - base) / (base * height);
            slope[pb] = 1 / base;
            slope[pb + 1] = -foot / (base * height);
            slope[pc] = 0;
            slope[pc + 1] = 1 / height;
            area[t] = base * height / 2;
            sum += area[t];
        }
        return sum;
    }

    double distance(int v, int w) {
        double sum = 0;
        for (int k = 0; k < 3; k++) {
            double d = xyz[3 * v + k] - xyz[3 * w + k];
            sum += d * d;
        }
        return Math.sqrt(sum);
    }

    /** Twice the signed area of a triangle in the plane. */
    double doubleArea(int t, double[] uv) {
        int a = 2 * corner[3 * t];
        int b = 2 * corner[3 * t + 1];
        int c = 2 * corner[3 * t + 2];
        return (uv[b] - uv[a]) * (uv[c + 1] - uv[a + 1]) - (uv[b + 1] - uv[a + 1]) * (uv[c] - uv[a]);
    }

    /** Writes the rows of the map from a triangle's own plane to where it lies: u along its x and y, v along them. */
    void map(int t, double[] uv, double[] dest) {
        int i = 6 * t;
        double a = 0;
        double b = 0;
        double c = 0;
        double d = 0;
        for (int k = 0; k < 3; k++) {
            int v = 2 * corner[3 * t + k];
            a += slope[i + 2 * k] * uv[v];
            b += slope[i + 2 * k + 1] * uv[v];
            c += slope[i + 2 * k] * uv[v + 1];
            d += slope[i + 2 * k + 1] * uv[v + 1];
        }
        dest[0] = a;
        dest[1] = b;
        dest[2] = c;
        dest[3] = d;
    }

    /**
     * Writes Σ A(σ₁² + σ₂²), Σ A(σ₁⁻² + σ₂⁻²) and the flat area; returns false when a triangle is not the right way round or too thin for numbers.
     */
    boolean measure(double[] uv, double[] dest) {
        double stretch = 0;
        double shrink = 0;
        double flat = 0;
        double[] map = new double[4];
        for (int t = 0; t < triangleCount; t++) {
            map(t, uv, map);
            double a = map[0];
            double b = map[1];
            double c = map[2];
            double d = map[3];
            double determinant = a * d - b * c;
            double squares = a * a + b * b + c * c + d * d;
            double inverse = squares / (determinant * determinant);
            // Both ways of finding the side must agree: the map's determinant and the corners themselves.
            if (!(determinant > 0) || !(doubleArea(t, uv) > 0) || !(inverse < Double.MAX_VALUE)) {
                return false;
            }
            stretch += area[t] * squares;
            shrink += area[t] * inverse;
            flat += area[t] * determinant;
        }
        dest[0] = stretch;
        dest[1] = shrink;
        dest[2] = flat;
        return shrink < Double.MAX_VALUE && stretch < Double.MAX_VALUE;
    }

    /** Returns the largest of the triangles' ¼(σ₁² + σ₂² + σ₁⁻² + σ₂⁻²) at a scale. */
    double worst(double[] uv, double scale) {
        double worst = 1;
        double square = scale * scale;
        double[] map = new double[4];
        for (int t = 0; t < triangleCount; t++) {
            map(t, uv, map);
            double a = map[0];
            double b = map[1];
            double c = map[2];
            double d = map[3];
            double determinant = a * d - b * c;
            double squares = a * a + b * b + c * c + d * d;
            worst = Math.max(worst, (square * squares + squares / (square * determinant * determinant)) / 4);
        }
        return worst;
    }

    /** Returns the first part of the way from uv along {@code way} at which a triangle loses its area; infinite when none does. */
    double firstFlip(double[] uv, double[] way) {
        double first = Double.POSITIVE_INFINITY;
        for (int t = 0; t < triangleCount; t++) {
            int a = 2 * corner[3 * t];
            int b = 2 * corner[3 * t + 1];
            int c = 2 * corner[3 * t + 2];
            double bx = uv[b] - uv[a];
            double by = uv[b + 1] - uv[a + 1];
            double cx = uv[c] - uv[a];
            double cy = uv[c + 1] - uv[a + 1];
            double wbx = way[b] - way[a];
            double wby = way[b + 1] - way[a + 1];
            double wcx = way[c] - way[a];
            double wcy = way[c + 1] - way[a + 1];
            // The doubled area is q0 + q1 t + q2 t².
            double q0 = bx * cy - by * cx;
            double q1 = bx * wcy + wbx * cy - by * wcx - wby * cx;
            double q2 = wbx * wcy - wby * wcx;
            double root = firstRoot(q0, q1, q2);
            first = Math.min(first, root);
        }
        return first;
    }

    private static double firstRoot(double q0, double q1, double q2) {
        double discriminant = q1 * q1 - 4 * q0 * q2;
        if (discriminant < 0) {
            return Double.POSITIVE_INFINITY;
        }
        // The form that does not subtract nearly equal numbers.
        double q = -(q1 + (q1 >= 0 ? Math.sqrt(discriminant) : -Math.sqrt(discriminant))) / 2;
        double first = q2 == 0 ? Double.POSITIVE_INFINITY : q / q2;
        double second = q == 0 ? Double.POSITIVE_INFINITY : q0 / q;
        double least = Double.POSITIVE_INFINITY;
        if (first > 0) {
            least = first;
        }
        if (second > 0 && second < least) {
            least = second;
        }
        return least;
    }
}
