package org.estampage.internal.kernel;

import java.lang.invoke.MethodHandles;
import jdk.incubator.vector.FloatVector;
import jdk.incubator.vector.IntVector;
import jdk.incubator.vector.VectorMask;
import jdk.incubator.vector.VectorOperators;
import jdk.incubator.vector.VectorShape;
import jdk.incubator.vector.VectorSpecies;

/**
 * The walks of {@link WideStream} with vectors. One source for all widths: {@link WideKernels} defines it once a width, as a hidden class whose class data is
 * the number of lanes, so that species and strides are constants to the compiler. As an ordinary class it can't be used.
 *
 * <p>Code shapes that the compiler needs: no masked operation on a value that a loop carries (it may be boxed at random, a kilobyte a ray); distances
 * compared as int bits, which have no NaN and no −0 (tMin ≥ 0 keeps the order right, see {@link BinaryTraversal}).
 *
 * @threads confined
 * @source the idea of sending many rays of one octant through a wide tree with a mask a stack entry: Tsakok, Faster Incoherent Rays: Multi-BVH Ray Stream
 *         Tracing, HPG 2009; Fuetterling et al., Accelerated Single Ray Tracing for Wide Vector Units, HPG 2017 (both from memory)
 */
final class VectorStream extends WideStream {
    private static final int LANES = lanes();
    private static final VectorSpecies<Float> F = VectorSpecies.of(float.class, VectorShape.forBitSize(32 * LANES));
    private static final VectorSpecies<Integer> I = VectorSpecies.of(int.class, VectorShape.forBitSize(32 * LANES));
    private static final int LINKS = 6 * LANES;
    private static final int BLOCK = 9 * LANES;
    private static final int INFINITY = 0x7f800000;

    private final int[] enter = new int[LANES];
    private final int[] met = new int[LANES];

    VectorStream() {
    }

    private static int lanes() {
        try {
            return MethodHandles.classData(MethodHandles.lookup(), "_", Integer.class);
        } catch (IllegalAccessException e) {
            throw new IllegalStateException(e);
        }
    }

    @Override
    void closest(WideTree tree, int count, int octant, int side, float[] destT, float[] destB1, float[] destB2) {
        float[] nodes = tree.nodes;
        float[] state = group.state;
        float[] best = group.best;
        int[] links = stackLink;
        int[] rays = stackRays;
        int[] enters = stackEnter;
        int nearX = (octant & 1) != 0 ? LANES : 0;
        int nearY = 2 * LANES + ((octant & 2) != 0 ? LANES : 0);
        int nearZ = 4 * LANES + ((octant & 4) != 0 ? LANES : 0);
        int farX = LANES - nearX;
        int farY = 5 * LANES - nearY;
        int farZ = 9 * LANES - nearZ;
        int depth = 1;
        links[0] = WideTree.FIRST;
        rays[0] = count == 32 ? -1 : (1 << count) - 1;
        enters[0] = 0;
        while (depth > 0) {
            int link = links[--depth];
            int active = rays[depth] & notBefore(best, enters[depth]);
            if (active == 0) {
                continue;
            }
            if (link < 0) {
                hitBlock(tree, ~link, active, side, destT, destB1, destB2);
                continue;
            }
            FloatVector x0 = FloatVector.fromArray(F, nodes, link + nearX);
            FloatVector y0 = FloatVector.fromArray(F, nodes, link + nearY);
            FloatVector z0 = FloatVector.fromArray(F, nodes, link + nearZ);
            FloatVector x1 = FloatVector.fromArray(F, nodes, link + farX);
            FloatVector y1 = FloatVector.fromArray(F, nodes, link + farY);
            FloatVector z1 = FloatVector.fromArray(F, nodes, link + farZ);
            IntVector zero = IntVector.zero(I);
            IntVector infinity = IntVector.broadcast(I, INFINITY);
            IntVector metBy = zero;
            IntVector nearest = infinity;
            do {
                int r = Integer.numberOfTrailingZeros(active);
                active &= active - 1;
                int s = r * RayGroup.STRIDE;
                FloatVector ix = FloatVector.broadcast(F, state[s]);
                FloatVector iy = FloatVector.broadcast(F, state[s + 1]);
                FloatVector iz = FloatVector.broadcast(F, state[s + 2]);
                IntVector from = x0.fma(ix, FloatVector.broadcast(F, state[s + 3])).reinterpretAsInts()
                        .max(y0.fma(iy, FloatVector.broadcast(F, state[s + 4])).reinterpretAsInts())
                        .max(z0.fma(iz, FloatVector.broadcast(F, state[s + 5])).reinterpretAsInts()
                                .max(FloatVector.broadcast(F, state[s + 9]).reinterpretAsInts()));
                IntVector to = x1.fma(ix, FloatVector.broadcast(F, state[s + 6])).reinterpretAsInts()
                        .min(y1.fma(iy, FloatVector.broadcast(F, state[s + 7])).reinterpretAsInts())
                        .min(z1.fma(iz, FloatVector.broadcast(F, state[s + 8])).reinterpretAsInts()
                                .min(FloatVector.broadcast(F, best[r]).reinterpretAsInts()));
                VectorMask<Integer> k = from.compare(VectorOperators.LE, to);
                metBy = metBy.or(zero.blend(1 << r, k));
                nearest = nearest.min(infinity.blend(from, k));
            } while (active != 0);
            long children = metBy.compare(VectorOperators.NE, 0).toLong();
            if (children == 0) {
                continue;
            }
            metBy.intoArray(met, 0);
            nearest.intoArray(enter, 0);
            // The nearest child on top.
            int base = depth;
            do {
                int c = Long.numberOfTrailingZeros(children);
                children &= children - 1;
                int d = enter[c];
                int p = depth++;
                while (p > base && enters[p - 1] < d) {
                    enters[p] = enters[p - 1];
                    links[p] = links[p - 1];
                    rays[p] = rays[p - 1];
                    p--;
                }
                enters[p] = d;
                links[p] = Float.floatToRawIntBits(nodes[link + LINKS + c]);
                rays[p] = met[c];
            } while (children != 0);
        }
    }

    /** Returns the bits of the rays whose best distance is not below {@code bits}. */
    private static int notBefore(float[] best, int bits) {
        FloatVector d = FloatVector.broadcast(F, Float.intBitsToFloat(bits));
        long result = 0;
        for (int i = 0; i < RayGroup.MOST; i += LANES) {
            result |= FloatVector.fromArray(F, best, i).compare(VectorOperators.GE, d).toLong() << i;
        }
        return (int) result;
    }

    private void hitBlock(WideTree tree, int block, int active, int side, float[] destT, float[] destB1, float[] destB2) {
        float[] v = tree.blocks;
        float[] state = group.state;
        int[] axes = group.axes;
        int at = WideTree.FIRST + block * BLOCK;
        do {
            int r = Integer.numberOfTrailingZeros(active);
            active &= active - 1;
            long lanes = covering(v, at, state, r * RayGroup.STRIDE, axes, 3 * r, side);
            if (lanes != 0) {
                group.keepBest(r, tree, block, lanes, owner[r], destT, destB1, destB2);
            }
        } while (active != 0);
    }

    /** Returns the lanes whose sheared triangles cover the ray: the first half of {@link WatertightRay#hit}, bit by bit. */
    private static long covering(float[] v, int at, float[] state, int s, int[] axes, int k, int side) {
        int x = at + axes[k];
        int y = at + axes[k + 1];
        int z = at + axes[k + 2];
        FloatVector ox = FloatVector.broadcast(F, state[s + 10]);
        FloatVector oy = FloatVector.broadcast(F, state[s + 11]);
        FloatVector oz = FloatVector.broadcast(F, state[s + 12]);
        FloatVector shearX = FloatVector.broadcast(F, state[s + 13]);
        FloatVector shearY = FloatVector.broadcast(F, state[s + 14]);
        FloatVector az = FloatVector.fromArray(F, v, z).sub(oz);
        FloatVector bz = FloatVector.fromArray(F, v, z + LANES).sub(oz);
        FloatVector cz = FloatVector.fromArray(F, v, z + 2 * LANES).sub(oz);
        FloatVector ax = FloatVector.fromArray(F, v, x).sub(ox).sub(shearX.mul(az));
        FloatVector bx = FloatVector.fromArray(F, v, x + LANES).sub(ox).sub(shearX.mul(bz));
        FloatVector cx = FloatVector.fromArray(F, v, x + 2 * LANES).sub(ox).sub(shearX.mul(cz));
        FloatVector ay = FloatVector.fromArray(F, v, y).sub(oy).sub(shearY.mul(az));
        FloatVector by = FloatVector.fromArray(F, v, y + LANES).sub(oy).sub(shearY.mul(bz));
        FloatVector cy = FloatVector.fromArray(F, v, y + 2 * LANES).sub(oy).sub(shearY.mul(cz));
        FloatVector w0 = cx.mul(by).sub(cy.mul(bx));
        FloatVector w1 = ax.mul(cy).sub(ay.mul(cx));
        FloatVector w2 = bx.mul(ay).sub(by.mul(ax));
        // A zero has no sign; a NaN is on neither side.
        long lanes = 0;
        if (side >= 0) {
            lanes = w0.compare(VectorOperators.GE, 0f).and(w1.compare(VectorOperators.GE, 0f)).and(w2.compare(VectorOperators.GE, 0f))
                    .toLong();
        }
        if (side <= 0) {
            lanes |= w0.compare(VectorOperators.LE, 0f).and(w1.compare(VectorOperators.LE, 0f)).and(w2.compare(VectorOperators.LE, 0f))
                    .toLong();
        }
        return lanes;
    }

    @Override
    int open(WideTree tree, int count, int octant, int side) {
        float[] nodes = tree.nodes;
        float[] state = group.state;
        float[] best = group.best;
        int[] links = stackLink;
        int[] rays = stackRays;
        int nearX = (octant & 1) != 0 ? LANES : 0;
        int nearY = 2 * LANES + ((octant & 2) != 0 ? LANES : 0);
        int nearZ = 4 * LANES + ((octant & 4) != 0 ? LANES : 0);
        int farX = LANES - nearX;
        int farY = 5 * LANES - nearY;
        int farZ = 9 * LANES - nearZ;
        int open = count == 32 ? -1 : (1 << count) - 1;
        int depth = 1;
        links[0] = WideTree.FIRST;
        rays[0] = open;
        while (depth > 0) {
            int link = links[--depth];
            int active = rays[depth] & open;
            if (active == 0) {
                continue;
            }
            if (link < 0) {
                open &= ~blocked(tree, ~link, active, side);
                if (open == 0) {
                    return 0;
                }
                continue;
            }
            FloatVector x0 = FloatVector.fromArray(F, nodes, link + nearX);
            FloatVector y0 = FloatVector.fromArray(F, nodes, link + nearY);
            FloatVector z0 = FloatVector.fromArray(F, nodes, link + nearZ);
            FloatVector x1 = FloatVector.fromArray(F, nodes, link + farX);
            FloatVector y1 = FloatVector.fromArray(F, nodes, link + farY);
            FloatVector z1 = FloatVector.fromArray(F, nodes, link + farZ);
            IntVector zero = IntVector.zero(I);
            IntVector metBy = zero;
            do {
                int r = Integer.numberOfTrailingZeros(active);
                active &= active - 1;
                int s = r * RayGroup.STRIDE;
                FloatVector ix = FloatVector.broadcast(F, state[s]);
                FloatVector iy = FloatVector.broadcast(F, state[s + 1]);
                FloatVector iz = FloatVector.broadcast(F, state[s + 2]);
                IntVector from = x0.fma(ix, FloatVector.broadcast(F, state[s + 3])).reinterpretAsInts()
                        .max(y0.fma(iy, FloatVector.broadcast(F, state[s + 4])).reinterpretAsInts())
                        .max(z0.fma(iz, FloatVector.broadcast(F, state[s + 5])).reinterpretAsInts()
                                .max(FloatVector.broadcast(F, state[s + 9]).reinterpretAsInts()));
                IntVector to = x1.fma(ix, FloatVector.broadcast(F, state[s + 6])).reinterpretAsInts()
                        .min(y1.fma(iy, FloatVector.broadcast(F, state[s + 7])).reinterpretAsInts())
                        .min(z1.fma(iz, FloatVector.broadcast(F, state[s + 8])).reinterpretAsInts()
                                .min(FloatVector.broadcast(F, best[r]).reinterpretAsInts()));
                metBy = metBy.or(zero.blend(1 << r, from.compare(VectorOperators.LE, to)));
            } while (active != 0);
            VectorMask<Integer> children = metBy.compare(VectorOperators.NE, 0);
            metBy.compress(children).intoArray(rays, depth);
            FloatVector.fromArray(F, nodes, link + LINKS).reinterpretAsInts().compress(children).intoArray(links, depth);
            depth += children.trueCount();
        }
        return open;
    }

    private int blocked(WideTree tree, int block, int active, int side) {
        float[] v = tree.blocks;
        float[] state = group.state;
        int[] axes = group.axes;
        int at = WideTree.FIRST + block * BLOCK;
        int result = 0;
        do {
            int r = Integer.numberOfTrailingZeros(active);
            active &= active - 1;
            long lanes = covering(v, at, state, r * RayGroup.STRIDE, axes, 3 * r, side);
            if (lanes != 0 && group.hitsAny(r, tree, block, lanes)) {
                result |= 1 << r;
            }
        } while (active != 0);
        return result;
    }
}
