package org.estampage.internal.kernel;

/**
 * Up to 32 rays of one octant on their way through a tree: what box tests and edge tests need of each, side by side, and the rays themselves for the last
 * word.
 *
 * <p><b>Boxes.</b> A plane's distance is one fused multiply-add, plane · inverse − origin · inverse, where {@link WatertightRay}'s own-box test takes a
 * difference and a product. With e = 2⁻²⁴, M the largest distance from the origin to the tree, O1 the padded origin of the own box and O2 the one used
 * here, both distances belong to planes that are no more than e·(|O2| + M) from each other after scaling by the inverse: e·|O2| from rounding O2 ·
 * inverse, e·M and 2·e·M from the last roundings of either. So O2 stands farther off than O1 by at least e·|O2| + 3·e·M: 4·e·M and 4·e·|origin| more are
 * taken, and a tree's box is never entered later nor left earlier than the own box of any triangle within it.
 *
 * <p>An inverse is cut off at 2²⁴ over the direction's largest component. Were the origin beyond O2 of such an axis by a box that an accepted hit lies in,
 * the way to that hit would be 4·e·M times 2²⁴ over the largest component, more than M; but a hit lies within M plus the pad on the dominant axis. So on
 * such an axis the box is entered below 0 and left beyond any hit, whatever the exact inverse.
 *
 * @threads confined
 */
final class RayGroup {
    /** The most rays of a group: the bits of an int. */
    static final int MOST = 32;
    /** Floats a ray in {@link #state}. */
    static final int STRIDE = 16;
    // Places in a ray's state: inverse direction, near and far offsets, the lower end; then origin and shear by the axes of the edge test.
    static final int INVERSE = 0;
    static final int NEAR = 3;
    static final int FAR = 6;
    static final int T_MIN = 9;
    static final int ORIGIN = 10;
    static final int SHEAR = 13;

    private static final float PAD = 0x1p-20f + 0x1p-22f;
    private static final float ORIGIN_PAD = 0x1p-22f + 0x1p-22f;
    private static final float MOST_INVERSE = 0x1p24f;

    final WatertightRay[] rays = new WatertightRay[MOST];
    final float[] state = new float[MOST * STRIDE];
    /** Best distances so far, or upper ends. */
    final float[] best = new float[MOST];
    /** Numbers of the best triangles so far, or −1. */
    final int[] bestTriangle = new int[MOST];
    /** Where a block holds the coordinates of the ray's axes kx, ky, kz. */
    final int[] axes = new int[3 * MOST];
    private final float[] corners = new float[9];

    RayGroup() {
        for (int i = 0; i < MOST; i++) {
            rays[i] = new WatertightRay();
        }
    }

    /** Returns the ray at place {@code i}, to be set and then {@link #prepare}d. */
    WatertightRay ray(int i) {
        return rays[i];
    }

    /**
     * Makes a set ray ready for a tree.
     *
     * @return false if its numbers are too large for fused box tests: it must be walked alone
     */
    boolean prepare(int i, WideTree tree) {
        WatertightRay r = rays[i];
        float reach = r.reach(tree.minX, tree.minY, tree.minZ, tree.maxX, tree.maxY, tree.maxZ);
        float limit = MOST_INVERSE * Math.abs(r.shearZ);
        int s = i * STRIDE;
        boolean finite = slab(s, r.inverseX, r.originX, reach, limit) & slab(s + 1, r.inverseY, r.originY, reach, limit)
                & slab(s + 2, r.inverseZ, r.originZ, reach, limit);
        state[s + T_MIN] = r.tMin;
        state[s + ORIGIN] = r.originKx;
        state[s + ORIGIN + 1] = r.originKy;
        state[s + ORIGIN + 2] = r.originKz;
        state[s + SHEAR] = r.shearX;
        state[s + SHEAR + 1] = r.shearY;
        int axis = 3 * tree.lanes;
        axes[3 * i] = r.kx * axis;
        axes[3 * i + 1] = r.ky * axis;
        axes[3 * i + 2] = r.kz * axis;
        best[i] = r.tMax;
        bestTriangle[i] = -1;
        return finite;
    }

    private boolean slab(int at, float inverse, float origin, float reach, float limit) {
        float cut = Math.max(-limit, Math.min(limit, inverse));
        float pad = Math.copySign(reach * PAD + Math.abs(origin) * ORIGIN_PAD, cut);
        float near = -(origin + pad) * cut;
        float far = -(origin - pad) * cut;
        state[at + INVERSE] = cut;
        state[at + NEAR] = near;
        state[at + FAR] = far;
        return Math.abs(near) <= Float.MAX_VALUE && Math.abs(far) <= Float.MAX_VALUE && Math.abs(cut) <= Float.MAX_VALUE && cut != 0f;
    }

    /** Returns whether ray {@code i} hits one of the triangles of a block whose lanes are the bits of {@code lanes}. */
    boolean hitsAny(int i, WideTree tree, int block, long lanes) {
        WatertightRay r = rays[i];
        for (long rest = lanes; rest != 0; rest &= rest - 1) {
            tree.corners(block, Long.numberOfTrailingZeros(rest), corners);
            if (r.hit(corners, 0, 3, 6, r.tMax)) {
                return true;
            }
        }
        return false;
    }

    /** Tests ray {@code i} against the triangles of a block whose lanes are the bits of {@code lanes}, and keeps the best hit at {@code at}. */
    void keepBest(int i, WideTree tree, int block, long lanes, int at, float[] destT, float[] destB1, float[] destB2) {
        WatertightRay r = rays[i];
        for (long rest = lanes; rest != 0; rest &= rest - 1) {
            int lane = Long.numberOfTrailingZeros(rest);
            tree.corners(block, lane, corners);
            if (r.hit(corners, 0, 3, 6, best[i])) {
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
