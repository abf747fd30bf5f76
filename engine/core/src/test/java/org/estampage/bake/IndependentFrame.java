package org.estampage.bake;

import java.util.Arrays;
import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.Normals;

/**
 * Decodes tangent-space normals as a renderer does, with tangents that are computed here from positions, normals and UVs: interpolated N and T of the low
 * poly, bitangent w · (N × T), nothing renormalised before the sum.
 *
 * <p>Source: glTF 2.0, section 3.7.2.1 (w and the bitangent); M. Mikkelsen, Simulation of Wrinkled Surfaces Revisited, 2008 (tangents; from memory).
 */
final class IndependentFrame {
    private final Mesh low;
    private final Attribute normals;
    private final double[] tangents;
    private final float[] uv;
    private final int[] uvOf;

    IndependentFrame(Mesh low) {
        this.low = low;
        normals = Normals.shading(low).normals().orElseThrow();
        uv = low.uvSets().get(0).values();
        uvOf = low.uvSets().get(0).indices();
        tangents = tangents();
    }

    /**
     * The tangents of all corners and w: at a corner of the UVs the unit directions of rising u in the triangles around it, each laid into the plane of the
     * vertex normal and weighted by the triangle's angle in that plane. Triangles of either orientation have corners of their own.
     */
    private double[] tangents() {
        int corners = 3 * low.triangleCount();
        double[][] sums = new double[uv.length][3];
        double[] all = new double[4 * corners];
        for (int pass = 0; pass < 2; pass++) {
            for (int c = 0; c < corners; c++) {
                int first = c / 3 * 3;
                int w = area(c / 3) < 0 ? -1 : 1;
                double[] sum = sums[2 * uvOf[c] + (w < 0 ? 1 : 0)];
                if (pass == 0) {
                    int n = 3 * normals.indices()[c];
                    double[] normal = {normals.values()[n], normals.values()[n + 1], normals.values()[n + 2]};
                    double[] along = inPlane(risingU(c / 3), normal);
                    double[] to = inPlane(difference(c, first + (c + 1) % 3), normal);
                    double[] from = inPlane(difference(c, first + (c + 2) % 3), normal);
                    double angle = StrictMath.acos(Math.clamp(dot(to, from), -1, 1));
                    for (int k = 0; k < 3; k++) {
                        sum[k] += angle * along[k];
                    }
                } else {
                    double length = Math.sqrt(dot(sum, sum));
                    for (int k = 0; k < 3; k++) {
                        all[4 * c + k] = sum[k] / length;
                    }
                    all[4 * c + 3] = w;
                }
            }
        }
        return all;
    }

    private double area(int t) {
        int a = 2 * uvOf[3 * t], b = 2 * uvOf[3 * t + 1], c = 2 * uvOf[3 * t + 2];
        return ((double) uv[b] - uv[a]) * ((double) uv[c + 1] - uv[a + 1]) - ((double) uv[b + 1] - uv[a + 1]) * ((double) uv[c] - uv[a]);
    }

    private double[] risingU(int t) {
        double v1 = (double) uv[2 * uvOf[3 * t + 1] + 1] - uv[2 * uvOf[3 * t] + 1],
                v2 = (double) uv[2 * uvOf[3 * t + 2] + 1] - uv[2 * uvOf[3 * t] + 1];
        double[] e1 = difference(3 * t, 3 * t + 1), e2 = difference(3 * t, 3 * t + 2);
        double[] along = new double[3];
        for (int k = 0; k < 3; k++) {
            along[k] = (v2 * e1[k] - v1 * e2[k]) / area(t);
        }
        return along;
    }

    private double[] difference(int fromCorner, int toCorner) {
        double[] d = new double[3];
        for (int k = 0; k < 3; k++) {
            d[k] = (double) low.positions()[3 * low.positionIndices()[toCorner] + k]
                    - low.positions()[3 * low.positionIndices()[fromCorner] + k];
        }
        return d;
    }

    private static double[] inPlane(double[] v, double[] normal) {
        double along = dot(v, normal) / dot(normal, normal);
        double[] flat = {v[0] - along * normal[0], v[1] - along * normal[1], v[2] - along * normal[2]};
        double length = Math.sqrt(dot(flat, flat));
        return new double[] {flat[0] / length, flat[1] / length, flat[2] / length};
    }

    /** Returns whether a triangle is mirrored in UV space: then w is −1. */
    boolean mirrored(int t) {
        return tangents[12 * t + 3] < 0;
    }

    /** Returns the barycentrics of a point of the UV plane. */
    double[] weights(int t, double u, double v) {
        int a = 2 * uvOf[3 * t], b = 2 * uvOf[3 * t + 1], c = 2 * uvOf[3 * t + 2];
        double w1 = ((u - uv[a]) * ((double) uv[c + 1] - uv[a + 1]) - (v - uv[a + 1]) * ((double) uv[c] - uv[a])) / area(t);
        double w2 = (((double) uv[b] - uv[a]) * (v - uv[a + 1]) - ((double) uv[b + 1] - uv[a + 1]) * (u - uv[a])) / area(t);
        return new double[] {1 - w1 - w2, w1, w2};
    }

    /**
     * Finds the triangle of every point of a lattice over the UV square, the lower number where several meet.
     *
     * @param points  points a side, one after another u by u from the top
     * @param offset  of the first from the square's left and top side, in steps
     * @param size    steps along the square
     */
    int[] trianglesAt(int points, double offset, int size) {
        int[] found = new int[points * points];
        Arrays.fill(found, -1);
        for (int t = low.triangleCount() - 1; t >= 0; t--) {
            double least = 2, most = -1, top = -1, bottom = 2;
            for (int k = 0; k < 3; k++) {
                least = Math.min(least, uv[2 * uvOf[3 * t + k]]);
                most = Math.max(most, uv[2 * uvOf[3 * t + k]]);
                bottom = Math.min(bottom, uv[2 * uvOf[3 * t + k] + 1]);
                top = Math.max(top, uv[2 * uvOf[3 * t + k] + 1]);
            }
            for (int y = (int) Math.max(0, Math.floor((1 - top) * size - offset)); y < points
                    && y <= (1 - bottom) * size - offset + 1; y++) {
                for (int x = (int) Math.max(0, Math.floor(least * size - offset)); x < points && x <= most * size - offset + 1; x++) {
                    double[] w = weights(t, (x + offset) / size, 1 - (y + offset) / size);
                    if (w[0] >= 0 && w[1] >= 0 && w[2] >= 0) {
                        found[y * points + x] = t;
                    }
                }
            }
        }
        return found;
    }

    /** Returns the normal that a texel's 16-bit codes stand for in the frame at a point of a triangle; not of unit length. */
    double[] decode(FloatImage image, int x, int y, int t, double[] weights) {
        double[] normal = new double[3], tangent = new double[3], world = new double[3];
        for (int k = 0; k < 3; k++) {
            for (int axis = 0; axis < 3; axis++) {
                normal[axis] += weights[k] * normals.values()[3 * normals.indices()[3 * t + k] + axis];
                tangent[axis] += weights[k] * tangents[4 * (3 * t + k) + axis];
            }
        }
        double w = tangents[12 * t + 3];
        double[] bitangent = {w * (normal[1] * tangent[2] - normal[2] * tangent[1]), w * (normal[2] * tangent[0] - normal[0] * tangent[2]),
                w * (normal[0] * tangent[1] - normal[1] * tangent[0])};
        Encoding codes = image.encoding();
        for (int k = 0; k < 3; k++) {
            double stored = codes.quantise(k, image.get(x, y, k), 16) / 65535.0 * 2 - 1;
            double[] to = k == 0 ? tangent : k == 1 ? bitangent : normal;
            for (int axis = 0; axis < 3; axis++) {
                world[axis] += stored * to[axis];
            }
        }
        return world;
    }

    static double dot(double[] a, double[] b) {
        return a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
    }

    /** Returns the angle between two vectors of any length, exact for small ones, too. */
    static double degrees(double[] a, double[] b) {
        double x = a[1] * b[2] - a[2] * b[1], y = a[2] * b[0] - a[0] * b[2], z = a[0] * b[1] - a[1] * b[0];
        return StrictMath.toDegrees(StrictMath.atan2(Math.sqrt(x * x + y * y + z * z), dot(a, b)));
    }
}
