package org.estampage.internal.kernel;

import java.util.Arrays;
import org.jspecify.annotations.Nullable;

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

    private static final float[] NO_FLOATS = {};
    private static final int[] NO_INTS = {};
    private static final boolean[] NO_ANSWERS = {};

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
    /** Made by the first query for nearest points: many threads never have one. */
    private @Nullable WideNearest nearest;
    private final HemisphereRays hemisphere;
    private final boolean vectors;

    WideStream(boolean vectors) {
        this.vectors = vectors;
        hemisphere = new HemisphereRays(SORTED, vectors);
    }

    /** Walks the rays of the given bits; hits go to the group and to the destinations at the rays' owners. */
    abstract void closest(WideTree tree, int walked, int octantOfGroup, int side, float[] destT, float[] destB1, float[] destB2);

    /** Walks the rays of the given bits; returns the bits of those that hit nothing. */
    abstract int open(WideTree tree, int walked, int octantOfGroup, int side);

    /** Makes the first {@code count} rays of the group ready for a tree: the twin of {@link WatertightRay#set}. */
    abstract void prepare(WideTree tree, int count);

    /**
     * Finds first hits; the arrays are those of a ray batch and a hit batch.
     *
     * @param together the most rays of a group, 1 … 32
     */
    public final void closestHits(WideTree tree, int together, int size, float[] ox, float[] oy, float[] oz, float[] dx, float[] dy,
            float[] dz, float[] tMin, float[] tMax, int side, float[] destT, float[] destB1, float[] destB2, int[] destTriangle) {
        Arrays.fill(destTriangle, 0, size, -1);
        trace(tree, together, size, ox, oy, oz, dx, dy, dz, tMin, tMax, side, false, destT, destB1, destB2, destTriangle, NO_ANSWERS);
    }

    /** Finds whether rays hit anything; otherwise as {@link #closestHits}. */
    public final void anyHits(WideTree tree, int together, int size, float[] ox, float[] oy, float[] oz, float[] dx, float[] dy, float[] dz,
            float[] tMin, float[] tMax, int side, boolean[] dest) {
        Arrays.fill(dest, 0, size, false);
        trace(tree, together, size, ox, oy, oz, dx, dy, dz, tMin, tMax, side, true, NO_FLOATS, NO_FLOATS, NO_FLOATS, NO_INTS, dest);
    }

    /** Sorts rays by octant and sends them off in groups. */
    private void trace(WideTree tree, int together, int size, float[] ox, float[] oy, float[] oz, float[] dx, float[] dy, float[] dz,
            float[] tMin, float[] tMax, int side, boolean any, float[] destT, float[] destB1, float[] destB2, int[] destTriangle,
            boolean[] destAny) {
        if (tree.triangleCount == 0) {
            return;
        }
        group.side(side);
        for (int from = 0; from < size; from += SORTED) {
            sort(from, Math.min(size, from + SORTED), dx, dy, dz);
            int next = 0;
            for (int o = 0; o < 8; o++) {
                int end = octantEnd[o];
                while (next < end) {
                    int count = fill(next, Math.min(end, next + together), ox, oy, oz, dx, dy, dz, tMin, tMax);
                    next += count;
                    prepare(tree, count);
                    if (any) {
                        anyOfGroup(tree, count, o, side, destAny);
                    } else {
                        closestOfGroup(tree, count, o, side, destT, destB1, destB2, destTriangle);
                    }
                }
            }
        }
    }

    private void closestOfGroup(WideTree tree, int count, int octantOfGroup, int side, float[] destT, float[] destB1, float[] destB2,
            int[] destTriangle) {
        int walked = group.usable & ~group.odd;
        if (walked != 0) {
            closest(tree, walked, octantOfGroup, side, destT, destB1, destB2);
        }
        for (int odd = group.odd; odd != 0; odd &= odd - 1) {
            int k = Integer.numberOfTrailingZeros(odd);
            group.bestTriangle[k] = alone.closest(tree, group.alone(k), owner[k], destT, destB1, destB2);
        }
        for (int k = 0; k < count; k++) {
            destTriangle[owner[k]] = group.bestTriangle[k];
        }
    }

    private void anyOfGroup(WideTree tree, int count, int octantOfGroup, int side, boolean[] dest) {
        int walked = group.usable & ~group.odd;
        int blocked = walked == 0 ? 0 : walked & ~open(tree, walked, octantOfGroup, side);
        for (int odd = group.odd; odd != 0; odd &= odd - 1) {
            int k = Integer.numberOfTrailingZeros(odd);
            blocked |= alone.any(tree, group.alone(k)) ? 1 << k : 0;
        }
        for (int k = 0; k < count; k++) {
            dest[owner[k]] = (blocked >>> k & 1) != 0;
        }
    }

    /**
     * Traces the rays of hemispheres, both sides of triangles blocking; the arrays are those of a hemisphere batch.
     *
     * @param together as for {@link #closestHits}
     * @param uniform  whether directions have the same density everywhere, or one in proportion to the cosine
     */
    public final void hemispheres(WideTree tree, int together, boolean uniform, float reach, int size, float[] x, float[] y, float[] z,
            float[] normalX,
            float[] normalY, float[] normalZ, int[] seed, int[] first, int[] count, int[] destOpen, float[] destX, float[] destY,
            float[] destZ) {
        Arrays.fill(destOpen, 0, size, 0);
        Arrays.fill(destX, 0, size, 0f);
        Arrays.fill(destY, 0, size, 0f);
        Arrays.fill(destZ, 0, size, 0f);
        HemisphereRays h = hemisphere;
        h.begin(reach);
        for (int p = 0; p < size; p++) {
            int end = first[p] + count[p];
            for (int i = first[p]; i < end; i++) {
                if (h.isFull()) {
                    traceHemispheres(tree, together, uniform, destOpen, destX, destY, destZ);
                }
                h.add(p, i, seed[p], x[p], y[p], z[p], normalX[p], normalY[p], normalZ[p]);
            }
        }
        traceHemispheres(tree, together, uniform, destOpen, destX, destY, destZ);
    }

    private void traceHemispheres(WideTree tree, int together, boolean uniform, int[] destOpen, float[] destX, float[] destY,
            float[] destZ) {
        HemisphereRays h = hemisphere;
        h.draw(uniform);
        anyHits(tree, together, h.size, h.originX, h.originY, h.originZ, h.directionX, h.directionY, h.directionZ, h.tMin, h.tMax, 0,
                h.blocked);
        h.sumUp(destOpen, destX, destY, destZ);
    }

    /** Copies the next rays of one octant into the group; returns how many. */
    private int fill(int next, int end, float[] ox, float[] oy, float[] oz, float[] dx, float[] dy, float[] dz, float[] tMin,
            float[] tMax) {
        RayGroup g = group;
        int count = end - next;
        for (int k = 0; k < count; k++) {
            int i = order[next + k];
            owner[k] = i;
            g.originX[k] = ox[i];
            g.originY[k] = oy[i];
            g.originZ[k] = oz[i];
            g.directionX[k] = dx[i];
            g.directionY[k] = dy[i];
            g.directionZ[k] = dz[i];
            g.tMin[k] = tMin[i];
            g.tMax[k] = tMax[i];
        }
        return count;
    }

    /** Finds nearest points; the arrays are those of a point batch. */
    public final void nearestPoints(WideTree tree, int size, float[] x, float[] y, float[] z, float[] limit, int[] destTriangle,
            float[] destB1,
            float[] destB2, float[] destDistance) {
        if (!vectors) {
            for (int i = 0; i < size; i++) {
                alone.nearestPoint(tree, i, x[i], y[i], z[i], limit[i], destTriangle, destB1, destB2, destDistance);
            }
            return;
        }
        WideNearest n = nearest;
        if (n == null) {
            n = WideKernels.nearest(tree.lanes);
            nearest = n;
        }
        n.nearestPoints(tree, size, x, y, z, limit, destTriangle, destB1, destB2, destDistance);
    }

    /** Puts the numbers of rays in the order of their octants, else as they come; {@link #octantEnd} says where each octant ends. */
    private void sort(int from, int to, float[] dx, float[] dy, float[] dz) {
        int[] end = octantEnd;
        Arrays.fill(end, 0);
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
    }
}
