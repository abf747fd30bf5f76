package org.estampage.internal.kernel;

/**
 * Sends batches of rays through a {@link WideTree} in groups of one octant: the part that has no vectors.
 *
 * <p>Rays of a group visit a node together, so that it is fetched once for all; which rays met which child is kept as bits of an int. The order of
 * visits changes nothing: a hit is judged by {@link WatertightRay} alone, ties by the triangle's number.
 *
 * @threads confined; allocates nothing after construction
 */
public abstract class WideStream {
    /** Rays that are sorted by octant together. */
    static final int SORTED = 1024;
    /** Room on the stack of nodes: each of at most {@link WideTree#DEEPEST} levels leaves at most 15 behind, and a vector is stored whole. */
    static final int STACK = 2048;

    final RayGroup group = new RayGroup();
    final int[] stackLink = new int[STACK];
    final int[] stackRays = new int[STACK];
    final int[] stackEnter = new int[STACK];
    /** The batch's number of each ray of the group. */
    final int[] owner = new int[RayGroup.MOST];
    private final int[] octantEnd = new int[9];
    private final byte[] octant = new byte[SORTED];
    private final int[] order = new int[SORTED];
    private final WideScalar alone = new WideScalar();
    private final HemisphereRays hemisphere = new HemisphereRays(SORTED);

    WideStream() {
    }

    /** Walks the group's rays; hits go to the group and to the destinations at the rays' owners. */
    abstract void closest(WideTree tree, int count, int octantOfGroup, int side, float[] destT, float[] destB1, float[] destB2);

    /** Walks the group's rays; returns the bits of those that hit nothing. */
    abstract int open(WideTree tree, int count, int octantOfGroup, int side);

    /** Finds first hits; the arrays are those of a ray batch and a hit batch. */
    public final void closestHits(WideTree tree, int size, float[] ox, float[] oy, float[] oz, float[] dx, float[] dy, float[] dz,
            float[] tMin,
            float[] tMax, int side, float[] destT, float[] destB1, float[] destB2, int[] destTriangle) {
        java.util.Arrays.fill(destTriangle, 0, size, -1);
        if (tree.triangleCount == 0) {
            return;
        }
        for (int from = 0; from < size; from += SORTED) {
            int sorted = sort(from, Math.min(size, from + SORTED), dx, dy, dz);
            int next = 0;
            for (int o = 0; o < 8; o++) {
                int end = octantEnd[o];
                while (next < end) {
                    int count = 0;
                    while (next < end && count < RayGroup.MOST) {
                        int i = order[next++];
                        if (group.ray(count).set(ox[i], oy[i], oz[i], dx[i], dy[i], dz[i], tMin[i], tMax[i], side)) {
                            if (group.prepare(count, tree)) {
                                owner[count++] = i;
                            } else {
                                destTriangle[i] = alone.closest(tree, group.ray(count), i, destT, destB1, destB2);
                            }
                        }
                    }
                    if (count > 0) {
                        closest(tree, count, o, side, destT, destB1, destB2);
                        for (int k = 0; k < count; k++) {
                            destTriangle[owner[k]] = group.bestTriangle[k];
                        }
                    }
                }
            }
            assert next == sorted;
        }
    }

    /** Finds whether rays hit anything. */
    public final void anyHits(WideTree tree, int size, float[] ox, float[] oy, float[] oz, float[] dx, float[] dy, float[] dz, float[] tMin,
            float[] tMax, int side, boolean[] dest) {
        java.util.Arrays.fill(dest, 0, size, false);
        if (tree.triangleCount == 0) {
            return;
        }
        for (int from = 0; from < size; from += SORTED) {
            int sorted = sort(from, Math.min(size, from + SORTED), dx, dy, dz);
            int next = 0;
            for (int o = 0; o < 8; o++) {
                int end = octantEnd[o];
                while (next < end) {
                    int count = 0;
                    while (next < end && count < RayGroup.MOST) {
                        int i = order[next++];
                        if (group.ray(count).set(ox[i], oy[i], oz[i], dx[i], dy[i], dz[i], tMin[i], tMax[i], side)) {
                            if (group.prepare(count, tree)) {
                                owner[count++] = i;
                            } else {
                                dest[i] = alone.any(tree, group.ray(count));
                            }
                        }
                    }
                    if (count > 0) {
                        int open = open(tree, count, o, side);
                        for (int k = 0; k < count; k++) {
                            dest[owner[k]] = (open >>> k & 1) == 0;
                        }
                    }
                }
            }
            assert next == sorted;
        }
    }

    /**
     * Traces the rays of hemispheres, both sides of triangles blocking; the arrays are those of a hemisphere batch.
     *
     * @param uniform whether directions have the same density everywhere, or one in proportion to the cosine
     */
    public final void hemispheres(WideTree tree, boolean uniform, float reach, int size, float[] x, float[] y, float[] z, float[] normalX,
            float[] normalY, float[] normalZ, int[] seed, int[] first, int[] count, int[] destOpen, float[] destX, float[] destY,
            float[] destZ) {
        java.util.Arrays.fill(destOpen, 0, size, 0);
        java.util.Arrays.fill(destX, 0, size, 0f);
        java.util.Arrays.fill(destY, 0, size, 0f);
        java.util.Arrays.fill(destZ, 0, size, 0f);
        HemisphereRays h = hemisphere;
        h.begin(reach);
        for (int p = 0; p < size; p++) {
            int end = first[p] + count[p];
            for (int i = first[p]; i < end; i++) {
                if (h.isFull()) {
                    traceHemispheres(tree, uniform, destOpen, destX, destY, destZ);
                }
                h.add(p, i, seed[p], x[p], y[p], z[p], normalX[p], normalY[p], normalZ[p]);
            }
        }
        traceHemispheres(tree, uniform, destOpen, destX, destY, destZ);
    }

    private void traceHemispheres(WideTree tree, boolean uniform, int[] destOpen, float[] destX, float[] destY, float[] destZ) {
        HemisphereRays h = hemisphere;
        h.draw(uniform);
        anyHits(tree, h.size, h.originX, h.originY, h.originZ, h.directionX, h.directionY, h.directionZ, h.tMin, h.tMax, 0, h.blocked);
        h.sumUp(destOpen, destX, destY, destZ);
    }

    /** Finds nearest points; the arrays are those of a point batch. */
    public final void nearestPoints(WideTree tree, int size, float[] x, float[] y, float[] z, float[] limit, int[] destTriangle,
            float[] destB1,
            float[] destB2, float[] destDistance) {
        alone.nearestPoints(tree, size, x, y, z, limit, destTriangle, destB1, destB2, destDistance);
    }

    /** Puts the numbers of rays in the order of their octants, else as they come; {@link #octantEnd} says where each octant ends. */
    private int sort(int from, int to, float[] dx, float[] dy, float[] dz) {
        int[] end = octantEnd;
        java.util.Arrays.fill(end, 0);
        for (int i = from; i < to; i++) {
            int o = Float.floatToRawIntBits(dx[i]) >>> 31 | Float.floatToRawIntBits(dy[i]) >>> 31 << 1
                    | Float.floatToRawIntBits(dz[i]) >>> 31 << 2;
            octant[i - from] = (byte) o;
            end[o + 1]++;
        }
        for (int o = 0; o < 8; o++) {
            end[o + 1] += end[o];
        }
        for (int i = from; i < to; i++) {
            order[end[octant[i - from]]++] = i;
        }
        return to - from;
    }
}
