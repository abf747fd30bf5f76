package org.estampage.internal.kernel;

/**
 * The point of a triangle that is nearest to a given one: the specification of {@code nearestPoints}.
 *
 * <p>Computed in double precision, rounded once; two triangles tie when their distances are the same float. The squared distance is never below that
 * to the triangle's box, whose arithmetic is monotone: no tree of boxes can cull an answer that this class gives.
 *
 * @threads confined
 * @source Ericson, Real-Time Collision Detection, 2005, section 5.1.5 (regions of vertex, edge and face; from memory)
 */
public final class NearestPoint {
    private double x;
    private double y;
    private double z;
    /** The last answer's distance. */
    public float distance;
    /** The last answer's barycentric of corner 1. */
    public float b1;
    /** The last answer's barycentric of corner 2. */
    public float b2;
    /** From the last answer's point to the given one. */
    double offX;
    double offY;
    double offZ;

    /** Makes a point that must be {@link #set} before use. */
    public NearestPoint() {
    }

    /** Takes over a point; returns whether it is finite. */
    public boolean set(float px, float py, float pz) {
        x = px;
        y = py;
        z = pz;
        return Float.isFinite(px) && Float.isFinite(py) && Float.isFinite(pz);
    }

    /** Returns a squared distance above which no triangle inside a box can come within {@code best}. */
    static double cull(float best) {
        // A float's square is exact in double. Above it, the rounded root is at least the next float, which is above best.
        double next = Math.nextUp(best);
        return next * next;
    }

    /** Returns the squared distance to a box. */
    double toBox(float loX, float loY, float loZ, float hiX, float hiY, float hiZ) {
        double dx = Math.max(Math.max(loX - x, x - hiX), 0.0);
        double dy = Math.max(Math.max(loY - y, y - hiY), 0.0);
        double dz = Math.max(Math.max(loZ - z, z - hiZ), 0.0);
        return dx * dx + dy * dy + dz * dz;
    }

    /**
     * Finds the nearest point of the triangle whose corners start at {@code a}, {@code b} and {@code c} in {@code v}, and sets the answer.
     *
     * @edge the triangle must take part, see {@link Triangles#takesPart}
     */
    public void of(float[] v, int a, int b, int c) {
        double ux = (double) v[b] - v[a];
        double uy = (double) v[b + 1] - v[a + 1];
        double uz = (double) v[b + 2] - v[a + 2];
        double wx = (double) v[c] - v[a];
        double wy = (double) v[c + 1] - v[a + 1];
        double wz = (double) v[c + 2] - v[a + 2];
        double px = x - v[a];
        double py = y - v[a + 1];
        double pz = z - v[a + 2];
        double uu = ux * ux + uy * uy + uz * uz;
        double uw = ux * wx + uy * wy + uz * wz;
        double ww = wx * wx + wy * wy + wz * wz;
        double up = ux * px + uy * py + uz * pz;
        double wp = wx * px + wy * py + wz * pz;
        // The same two products as seen from corners 1 and 2.
        double up1 = up - uu;
        double wp1 = wp - uw;
        double up2 = up - uw;
        double wp2 = wp - ww;
        double s;
        double r;
        double edge2 = up * wp1 - up1 * wp; // weight of corner 2, and so on
        double edge1 = up2 * wp - up * wp2;
        double edge0 = up1 * wp2 - up2 * wp1;
        if (up <= 0 && wp <= 0) { // corner 0
            s = 0;
            r = 0;
        } else if (up1 >= 0 && wp1 <= up1) { // corner 1
            s = 1;
            r = 0;
        } else if (edge2 <= 0 && up >= 0 && up1 <= 0) { // edge 01
            s = up / uu;
            r = 0;
        } else if (wp2 >= 0 && up2 <= wp2) { // corner 2
            s = 0;
            r = 1;
        } else if (edge1 <= 0 && wp >= 0 && wp2 <= 0) { // edge 02
            s = 0;
            r = wp / ww;
        } else if (edge0 <= 0 && wp1 >= up1 && up2 >= wp2) { // edge 12
            double there = wp1 - up1;
            double both = there + (up2 - wp2);
            r = both > 0 ? there / both : 0; // no length is left of an edge far shorter than its distance
            s = 1 - r;
        } else { // inside
            // Rounding may put a needle's point outside all regions: the weights stay those of a point of the triangle.
            edge1 = Math.max(edge1, 0);
            edge2 = Math.max(edge2, 0);
            double sum = Math.max(edge0, 0) + edge1 + edge2;
            s = sum > 0 ? edge1 / sum : 0;
            r = sum > 0 ? edge2 / sum : 0;
        }
        double dx = px - (s * ux + r * wx);
        double dy = py - (s * uy + r * wy);
        double dz = pz - (s * uz + r * wz);
        offX = dx;
        offY = dy;
        offZ = dz;
        double box = toBox(Math.min(Math.min(v[a], v[b]), v[c]), Math.min(Math.min(v[a + 1], v[b + 1]), v[c + 1]),
                Math.min(Math.min(v[a + 2], v[b + 2]), v[c + 2]), Math.max(Math.max(v[a], v[b]), v[c]),
                Math.max(Math.max(v[a + 1], v[b + 1]), v[c + 1]), Math.max(Math.max(v[a + 2], v[b + 2]), v[c + 2]));
        distance = (float) Math.sqrt(Math.max(dx * dx + dy * dy + dz * dz, box));
        b1 = (float) s;
        b2 = (float) r;
    }
}
