package org.estampage.internal.kernel;

/**
 * Up to 32 rays of one octant on their way through a tree: what box tests and edge tests need of them, one array a quantity, and a ray for the last word.
 *
 * <p><b>Boxes.</b> A plane's distance is one fused multiply-add, plane · inverse − origin · inverse, where {@link WatertightRay}'s own-box test takes a
 * difference and a product. With e = 2⁻²⁴, M the largest distance from the origin to the tree, O1 the padded origin of the own box and O2 the one used
 * here, both distances belong to planes that are no more than e·(|O2| + M) from each other after scaling by the inverse: e·|O2| from rounding O2 ·
 * inverse, e·M and 2·e·M from the last roundings of either. So O2 stands farther off than O1 by at least e·|O2| + 3·e·M: 8·e·M and 4·e·|origin| more are
 * taken, and a tree's box is never entered later nor left earlier than the own box of any triangle within it.
 *
 * <p>An inverse is cut off at 2²⁴ over the direction's largest component. Were the origin beyond O2 of such an axis by a box that an accepted hit lies in,
 * the way to that hit would be 8·e·M times 2²⁴ over the largest component, more than M; but a hit lies within M plus the pad on the dominant axis. So on
 * such an axis the box is entered below 0 and left beyond any hit, whatever the exact inverse.
 *
 * @shape state: quantity q of ray i at q · {@link #MOST} + i; axes: likewise the axes kx, ky, kz of the edge test, 0 … 2
 * @threads confined
 */
final class RayGroup {
    /** The most rays of a group: the bits of an int. */
    static final int MOST = 32;
    /** Inverse direction, cut off, of x, y, z. */
    static final int INVERSE = 0;
    /** What near planes' products are added to. */
    static final int NEAR = 3;
    /** What far planes' products are added to. */
    static final int FAR = 6;
    /** The lower end. */
    static final int T_MIN = 9;
    /** The origin on the axes kx, ky, kz. */
    static final int ORIGIN = 10;
    /** The shears. */
    static final int SHEAR = 13;
    /** The origin on the axes x, y, z. */
    static final int RAW_ORIGIN = 16;
    /** The inverse direction as {@link WatertightRay} has it. */
    static final int RAW_INVERSE = 19;
    private static final int QUANTITIES = 22;

    static final float PAD = WatertightRay.PAD + 0x1p-21f;
    static final float ORIGIN_PAD = 2 * WatertightRay.ORIGIN_PAD;
    static final float MOST_INVERSE = 0x1p24f;
    /**
     * The least M, and the least M · inverse, of a ray that joins a group. Numbers below the normal ones are rounded by 2⁻¹⁵⁰ whatever their size: at most
     * four times in the pads and four times in the distances. With M above 2⁻¹²⁰ that is less than e·M, which 8·e·M leaves room for.
     */
    static final float LEAST_REACH = 0x1p-120f;

    final float[] state = new float[QUANTITIES * MOST];
    final int[] axes = new int[3 * MOST];
    /** Best distances so far; upper ends before. */
    final float[] best = new float[MOST];
    /** Numbers of the best triangles so far, or −1. */
    final int[] bestTriangle = new int[MOST];
    // The rays as they came.
    final float[] originX = new float[MOST];
    final float[] originY = new float[MOST];
    final float[] originZ = new float[MOST];
    final float[] directionX = new float[MOST];
    final float[] directionY = new float[MOST];
    final float[] directionZ = new float[MOST];
    final float[] tMin = new float[MOST];
    final float[] tMax = new float[MOST];
    /** Largest distances to the tree, on any axis. */
    final float[] reach = new float[MOST];
    /** Bits of rays that can hit something. */
    int usable;
    /** Bits of usable rays whose numbers are too large or too small for fused box tests: they must be walked alone. */
    int odd;

    private final WatertightRay ray = new WatertightRay();
    private final float[] corners = new float[9];

    RayGroup() {
    }

    /** Says which sides of triangles count from now on, see {@link WatertightRay#set}. */
    void side(int side) {
        ray.side = side;
    }

    /** Sets a ray as it came, for walking it alone. */
    WatertightRay alone(int i) {
        ray.set(originX[i], originY[i], originZ[i], directionX[i], directionY[i], directionZ[i], tMin[i], tMax[i], ray.side);
        return ray;
    }

    /** Returns whether a ray as it came can hit anything. */
    boolean canHit(int i) {
        return ray.set(originX[i], originY[i], originZ[i], directionX[i], directionY[i], directionZ[i], tMin[i], tMax[i], ray.side);
    }

    /** Returns whether ray {@code i} hits one of the triangles of a block whose lanes are the bits of {@code lanes}. */
    boolean hitsAny(int i, WideTree tree, int block, long lanes) {
        ray.take(this, i);
        float tHigh = best[i];
        for (long rest = lanes; rest != 0; rest &= rest - 1) {
            if (tree.corners(block, Long.numberOfTrailingZeros(rest), corners) && ray.hit(corners, 0, 3, 6, tHigh)) {
                return true;
            }
        }
        return false;
    }

    /** Tests ray {@code i} against the triangles of a block whose lanes are the bits of {@code lanes}, and keeps the best hit at {@code at}. */
    void keepBest(int i, WideTree tree, int block, long lanes, int at, float[] destT, float[] destB1, float[] destB2) {
        WatertightRay r = ray;
        r.take(this, i);
        for (long rest = lanes; rest != 0; rest &= rest - 1) {
            int lane = Long.numberOfTrailingZeros(rest);
            if (tree.corners(block, lane, corners) && r.hit(corners, 0, 3, 6, best[i])) {
                int number = tree.numbers[block * tree.lanes + lane];
                if (r.t < best[i] || bestTriangle[i] < 0 || number < bestTriangle[i]) {
                    best[i] = r.t;
                    bestTriangle[i] = number;
                    destT[at] = r.t;
                    destB1[at] = r.b1;
                    destB2[at] = r.b2;
                }
            }
        }
    }
}
