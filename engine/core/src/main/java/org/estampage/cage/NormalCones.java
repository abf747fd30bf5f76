package org.estampage.cage;

/**
 * The smallest cap of the unit sphere that holds a set of unit vectors: its centre is the direction whose worst dot product with them is largest.
 *
 * <p>A cap below a hemisphere is fixed by at most three of its vectors. So the farthest vector is added to those that fix the present cap, and the
 * smallest cap of these four at most is found by trying pairs and triples; every round the cap grows, so the rounds end. Sets that fit into no open
 * hemisphere have no such cap: for them the centre of the smallest ball is approached by steps towards the farthest vector.
 *
 * @source Aubry, Löhner, On the 'most normal' normal, 2008 (the question; from memory); Welzl, Smallest enclosing disks, 1991 (a cap is fixed by few
 *         points; from memory); Bădoiu, Clarkson, Smaller core-sets for balls, 2003 (the steps; from memory)
 * @threads confined
 */
final class NormalCones {
    /** Above the rounding of a dot product of unit vectors (a few 2⁻⁵²), far below any angle that matters. */
    private static final double SLACK = 1e-14;
    /** The cap grows in every round; this only ends rounds that rounding keeps alive. */
    private static final int MAX_ROUNDS = 200;
    /** Steps of the fallback; its error falls like 1 / steps. */
    private static final int FALLBACK_STEPS = 400;

    private final int[] support = new int[4];
    private int supportCount;
    private final int[] bestSupport = new int[3];
    private final double[] axis = new double[3];
    private final double[] trial = new double[3];

    /**
     * Writes the centre of the smallest cap.
     *
     * @param vectors unit vectors, xyz interleaved
     * @param members numbers of the vectors in the set
     * @param start   first entry of {@code members}
     * @param end     end of the entries, above {@code start}
     * @param dest    gets three components from {@code destOffset} on
     * @return the smallest dot product of the centre and a vector; at most 0 when no direction sees them all
     */
    double centre(double[] vectors, int[] members, int start, int end, double[] dest, int destOffset) {
        double worst = cap(vectors, members, start, end);
        if (!(worst > 0)) {
            worst = ball(vectors, members, start, end);
        }
        dest[destOffset] = axis[0];
        dest[destOffset + 1] = axis[1];
        dest[destOffset + 2] = axis[2];
        return worst;
    }

    private double cap(double[] vectors, int[] members, int start, int end) {
        support[0] = members[start];
        supportCount = 1;
        set(axis, vectors, support[0]);
        double cosine = 1;
        for (int round = 0; round < MAX_ROUNDS; round++) {
            int farthest = farthest(vectors, members, start, end);
            double worst = dot(axis, vectors, farthest);
            if (worst >= cosine - SLACK) {
                return worst;
            }
            support[supportCount++] = farthest;
            double grown = smallestOfSupport(vectors);
            if (!(grown > 0)) {
                return -1; // these few already fit into no open hemisphere
            }
            if (grown >= cosine) {
                return dot(axis, vectors, farthest(vectors, members, start, end)); // only rounding is left
            }
            cosine = grown;
        }
        return dot(axis, vectors, farthest(vectors, members, start, end));
    }

    /** Finds the smallest cap of the two to four support vectors that the last one lies on, and keeps only those that fix it. */
    private double smallestOfSupport(double[] vectors) {
        int last = support[supportCount - 1];
        double best = -1;
        int bestCount = 0;
        for (int i = 0; i < supportCount - 1; i++) {
            pair(vectors, support[i], last);
            double cosine = dot(trial, vectors, last);
            if (cosine > best && holdsSupport(vectors, cosine)) {
                best = cosine;
                bestCount = 2;
                bestSupport[0] = support[i];
                bestSupport[1] = last;
            }
        }
        for (int i = 0; i < supportCount - 1; i++) {
            for (int j = i + 1; j < supportCount - 1; j++) {
                triple(vectors, support[i], support[j], last);
                double cosine = dot(trial, vectors, last);
                if (cosine > best && holdsSupport(vectors, cosine)) {
                    best = cosine;
                    bestCount = 3;
                    bestSupport[0] = support[i];
                    bestSupport[1] = support[j];
                    bestSupport[2] = last;
                }
            }
        }
        if (bestCount == 0) {
            return -1;
        }
        System.arraycopy(bestSupport, 0, support, 0, bestCount);
        supportCount = bestCount;
        if (bestCount == 2) {
            pair(vectors, support[0], support[1]);
        } else {
            triple(vectors, support[0], support[1], support[2]);
        }
        System.arraycopy(trial, 0, axis, 0, 3);
        return best;
    }

    private boolean holdsSupport(double[] vectors, double cosine) {
        for (int i = 0; i < supportCount; i++) {
            if (!(dot(trial, vectors, support[i]) >= cosine - SLACK)) {
                return false;
            }
        }
        return true;
    }

    private void pair(double[] v, int a, int b) {
        normalise(v[3 * a] + v[3 * b], v[3 * a + 1] + v[3 * b + 1], v[3 * a + 2] + v[3 * b + 2]);
    }

    /** The two directions at the same angle to three vectors are ± the normal of their plane. */
    private void triple(double[] v, int a, int b, int c) {
        double ux = v[3 * a] - v[3 * c], uy = v[3 * a + 1] - v[3 * c + 1], uz = v[3 * a + 2] - v[3 * c + 2];
        double wx = v[3 * b] - v[3 * c], wy = v[3 * b + 1] - v[3 * c + 1], wz = v[3 * b + 2] - v[3 * c + 2];
        normalise(uy * wz - uz * wy, uz * wx - ux * wz, ux * wy - uy * wx);
        if (dot(trial, v, c) < 0) {
            trial[0] = -trial[0];
            trial[1] = -trial[1];
            trial[2] = -trial[2];
        }
    }

    private void normalise(double x, double y, double z) {
        double length = Math.sqrt(x * x + y * y + z * z);
        trial[0] = x / length; // NaN when there is no such direction; it then holds nothing
        trial[1] = y / length;
        trial[2] = z / length;
    }

    private double ball(double[] vectors, int[] members, int start, int end) {
        set(axis, vectors, members[start]);
        for (int step = 1; step < FALLBACK_STEPS; step++) {
            int far = farthest(vectors, members, start, end);
            for (int k = 0; k < 3; k++) {
                axis[k] += (vectors[3 * far + k] - axis[k]) / (step + 1);
            }
        }
        double length = Math.sqrt(axis[0] * axis[0] + axis[1] * axis[1] + axis[2] * axis[2]);
        if (length < 1e-9) { // opposite vectors in balance: every direction is as bad, the first vector is one that always exists
            set(axis, vectors, members[start]);
        } else {
            for (int k = 0; k < 3; k++) {
                axis[k] /= length;
            }
        }
        return Math.min(0, dot(axis, vectors, farthest(vectors, members, start, end)));
    }

    private int farthest(double[] vectors, int[] members, int start, int end) {
        int found = members[start];
        double least = Double.POSITIVE_INFINITY;
        for (int i = start; i < end; i++) {
            double d = dot(axis, vectors, members[i]);
            if (d < least) {
                least = d;
                found = members[i];
            }
        }
        return found;
    }

    private static void set(double[] dest, double[] vectors, int number) {
        System.arraycopy(vectors, 3 * number, dest, 0, 3);
    }

    private static double dot(double[] a, double[] vectors, int number) {
        return a[0] * vectors[3 * number] + a[1] * vectors[3 * number + 1] + a[2] * vectors[3 * number + 2];
    }
}
