package org.estampage.lowpoly;

import java.util.Arrays;
import org.estampage.mesh.Attribute;

/** Normals of corners that are sorted into fans: the mean of the facet normals around, weighted by the angle there, as everywhere in this library. */
final class FanNormals {
    // Unit normals in double that cancel leave about 1e-16 a triangle.
    private static final double VANISHED = 1e-9;

    private FanNormals() {
    }

    /**
     * Returns one normal a fan.
     *
     * @param fan a number a corner; corners with the same number stand at the same vertex
     * @edge where the sum vanishes: (0, 0, 1)
     */
    static Attribute of(float[] xyz, int[] corners, int[] fan) {
        int most = 0;
        for (int f : fan) {
            most = Math.max(most, f + 1);
        }
        int[] number = new int[most];
        Arrays.fill(number, -1);
        int[] index = new int[fan.length];
        int count = 0;
        for (int c = 0; c < fan.length; c++) {
            if (number[fan[c]] < 0) {
                number[fan[c]] = count++;
            }
            index[c] = number[fan[c]];
        }
        double[] sum = new double[3 * count];
        double[] e = new double[9];
        for (int t = 0; t < corners.length; t += 3) {
            for (int k = 0; k < 3; k++) {
                int a = 3 * corners[t + k], b = 3 * corners[t + (k + 1) % 3];
                for (int j = 0; j < 3; j++) {
                    e[3 * k + j] = (double) xyz[b + j] - xyz[a + j];
                }
            }
            double nx = e[1] * e[5] - e[2] * e[4], ny = e[2] * e[3] - e[0] * e[5], nz = e[0] * e[4] - e[1] * e[3];
            double length = Math.sqrt(nx * nx + ny * ny + nz * nz);
            if (!(length > 0)) {
                continue;
            }
            for (int k = 0; k < 3; k++) {
                int in = 3 * ((k + 2) % 3), out = 3 * k;
                double dot = -(e[in] * e[out] + e[in + 1] * e[out + 1] + e[in + 2] * e[out + 2]);
                double angle = StrictMath.atan2(length, dot);
                int s = 3 * index[t + k];
                sum[s] += angle * nx / length;
                sum[s + 1] += angle * ny / length;
                sum[s + 2] += angle * nz / length;
            }
        }
        float[] values = new float[3 * count];
        for (int f = 0; f < count; f++) {
            double x = sum[3 * f], y = sum[3 * f + 1], z = sum[3 * f + 2];
            double length = Math.sqrt(x * x + y * y + z * z);
            boolean some = length > VANISHED;
            values[3 * f] = some ? (float) (x / length) : 0;
            values[3 * f + 1] = some ? (float) (y / length) : 0;
            values[3 * f + 2] = some ? (float) (z / length) : 1;
        }
        return new Attribute("normals", 3, values, index);
    }
}
