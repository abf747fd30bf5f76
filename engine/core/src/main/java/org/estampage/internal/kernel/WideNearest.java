package org.estampage.internal.kernel;

/**
 * Finds nearest points in a {@link WideTree}: the part that has no vectors.
 *
 * <p>{@link NearestPoint} alone judges triangles; what stands here and in the vectors leaves out those that cannot matter, by two bounds in floats. With
 * u = 2⁻²⁴ and M the largest distance, on any axis, from the point to the tree:
 *
 * <p><b>Boxes.</b> Of a squared distance to a box the differences, the squares and the two sums are rounded, so that it is at most (1 + u)⁵ times the exact
 * one, and scaling and the last subtraction round twice more; times 1 − 12·u it is below the exact one by more than double precision loses. Squares
 * that are no normal numbers are wrong by 2⁻¹⁵⁰ each: the smallest normal number, 2⁻¹²⁶, is taken off. Coordinates up to 2⁶² keep it finite;
 * points and trees beyond are walked by {@link WideScalar}.
 *
 * <p>A box holds a triangle, whose nearest point is no farther off than the box's farthest corner: until something is found, the least of those takes the
 * place of the limit. Five roundings in floats, and the last bits of {@code NearestPoint}, whose errors are relative to the same distance, stay below
 * 16·u. In a refitted tree there are boxes whose triangles have no area any more: an answer beyond that bound, or none, shows it, and the point starts anew
 * without.
 *
 * <p><b>Planes.</b> For any n not longer than 1, a triangle is at least as far off as the least of n · (corner − point). Towards the nearest point
 * found so far this is sharper than boxes: behind the plane through that point only what lies nearer remains. The products' sum in floats is wrong by no
 * more than 4·u times the sum of |n| · |corner − point|, thus 7·u·M, and numbers that are not normal by less than 2⁻¹²⁶. The point that {@code NearestPoint}
 * measures to is a mean of the corners with weights that are not negative, so that its distance is off by less than 2⁻⁴⁷·M: 16·u·M
 * cover all. Until something is found n is 0.
 *
 * @threads confined; allocates nothing after construction
 */
abstract class WideNearest {
    /** Scales a squared distance in floats to a lower bound. */
    static final float BELOW = 1f - 12 * 0x1p-24f;
    /** Scales a squared distance in floats to an upper bound. */
    static final float ABOVE = 1f + 16 * 0x1p-24f;
    /** Coordinates above this are left to {@link WideScalar}. */
    private static final float MOST = 0x1p62f;
    private static final double PLANE_ERROR = 16 * 0x1p-24;
    /** Brings a unit vector below length 1 by more than rounding its components to floats can lengthen it. */
    private static final double SHORTER = 1 - 0x1p-20;

    /** A squared length, of an offset, far from where double precision has fewer bits. */
    private static final double SHORTEST = 0x1p-600;

    final int[] stackLink = new int[WideStream.STACK];
    final float[] stackSquare = new float[WideStream.STACK];
    /** Lower bounds of the lanes' squared distances. */
    final float[] square = new float[16];
    float x;
    float y;
    float z;
    /** The direction to the best point so far, or 0. */
    float towardX;
    float towardY;
    float towardZ;
    /** Lower bounds of squared distances above this leave a box out. */
    float cull;
    /** Planes' bounds above this leave a box out. */
    float cullPlane;
    /** What far corners have brought the cull down to; a limit may be below. */
    float narrowed;
    private double planeError;
    private float best;
    /** The number of the best triangle so far, or −1. */
    int bestTriangle;
    private float bestB1;
    private float bestB2;
    private final float[] corners = new float[9];
    private final NearestPoint point = new NearestPoint();
    private final WideScalar alone = new WideScalar();

    WideNearest() {
    }

    /**
     * Walks the tree; the answer goes to the best point.
     *
     * @param narrow whether far corners of boxes take the place of the limit until something is found
     */
    abstract void walk(WideTree tree, boolean narrow);

    /** Finds nearest points; the arrays are those of a point batch. */
    final void nearestPoints(WideTree tree, int size, float[] px, float[] py, float[] pz, float[] limit, int[] destTriangle, float[] destB1,
            float[] destB2, float[] destDistance) {
        boolean tame = Math.abs(tree.minX) <= MOST && Math.abs(tree.minY) <= MOST && Math.abs(tree.minZ) <= MOST
                && Math.abs(tree.maxX) <= MOST && Math.abs(tree.maxY) <= MOST && Math.abs(tree.maxZ) <= MOST;
        for (int i = 0; i < size; i++) {
            if (!tame || !(Math.abs(px[i]) <= MOST && Math.abs(py[i]) <= MOST && Math.abs(pz[i]) <= MOST)) {
                alone.nearestPoint(tree, i, px[i], py[i], pz[i], limit[i], destTriangle, destB1, destB2, destDistance);
                continue;
            }
            destTriangle[i] = -1;
            if (tree.triangleCount != 0 && limit[i] >= 0f) {
                begin(tree, px[i], py[i], pz[i], limit[i]);
                walk(tree, true);
                if (bestTriangle < 0 ? narrowed < NearestPoint.cull(limit[i]) : (double) best * best > narrowed) { // a box without a triangle misled
                    begin(tree, px[i], py[i], pz[i], limit[i]);
                    walk(tree, false);
                }
                if (bestTriangle >= 0) {
                    destTriangle[i] = bestTriangle;
                    destB1[i] = bestB1;
                    destB2[i] = bestB2;
                    destDistance[i] = best;
                }
            }
        }
    }

    private void begin(WideTree tree, float px, float py, float pz, float limit) {
        x = px;
        y = py;
        z = pz;
        point.set(px, py, pz);
        towardX = 0;
        towardY = 0;
        towardZ = 0;
        double reach = Math.max(Math.max(Math.max(Math.abs((double) tree.minX - px), Math.abs((double) tree.maxX - px)),
                Math.max(Math.abs((double) tree.minY - py), Math.abs((double) tree.maxY - py))),
                Math.max(Math.abs((double) tree.minZ - pz), Math.abs((double) tree.maxZ - pz)));
        planeError = reach * PLANE_ERROR + Float.MIN_NORMAL;
        bestTriangle = -1;
        narrowed = Float.MAX_VALUE;
        cull = Float.MAX_VALUE;
        reach(limit);
    }

    /** Takes a new best distance. */
    private void reach(float distance) {
        best = distance;
        // Finite, so that empty slots stay out: no bound of a triangle is above 2¹²⁸.
        cull = Math.min(Math.nextUp((float) NearestPoint.cull(distance)), cull);
        cullPlane = Math.min(Math.nextUp((float) (Math.nextUp(distance) + planeError)), Float.MAX_VALUE);
    }

    /** Judges the triangles of the given lanes, the nearest box first. */
    final void judge(WideTree tree, int block, long lanes) {
        long rest = lanes;
        do {
            int lane = Long.numberOfTrailingZeros(rest);
            float least = square[lane];
            for (long others = rest & rest - 1; others != 0; others &= others - 1) {
                int other = Long.numberOfTrailingZeros(others);
                if (square[other] < least) {
                    lane = other;
                    least = square[other];
                }
            }
            if (least > cull) {
                return;
            }
            judge(tree, block, lane);
            rest &= ~(1L << lane);
        } while (rest != 0);
    }

    private void judge(WideTree tree, int block, int lane) {
        float[] v = corners;
        if (!tree.corners(block, lane, v) || Float.isNaN(v[0] + v[3] + v[6])) {
            return;
        }
        if (bestTriangle >= 0 && isBehind(v[0], v[1], v[2]) && isBehind(v[3], v[4], v[5]) && isBehind(v[6], v[7], v[8])) {
            return;
        }
        NearestPoint p = point;
        p.of(v, 0, 3, 6);
        int number = tree.numbers[block * tree.lanes + lane];
        if (p.distance < best || (p.distance == best && (bestTriangle < 0 || number < bestTriangle))) {
            bestTriangle = number;
            bestB1 = p.b1;
            bestB2 = p.b2;
            reach(p.distance);
            double length = p.offX * p.offX + p.offY * p.offY + p.offZ * p.offZ;
            if (length > SHORTEST) { // else the direction stays: any will do
                double scale = -SHORTER / Math.sqrt(length);
                towardX = (float) (p.offX * scale);
                towardY = (float) (p.offY * scale);
                towardZ = (float) (p.offZ * scale);
            }
        }
    }

    private boolean isBehind(float vx, float vy, float vz) {
        return (vx - x) * towardX + (vy - y) * towardY + (vz - z) * towardZ > cullPlane;
    }
}
