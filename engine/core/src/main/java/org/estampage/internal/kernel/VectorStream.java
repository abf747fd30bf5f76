package org.estampage.internal.kernel;

import java.lang.invoke.MethodHandles;
import java.util.Arrays;
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
    private static final int LANES = WideKernels.lanes(MethodHandles.lookup());
    private static final VectorSpecies<Float> F = VectorSpecies.of(float.class, VectorShape.forBitSize(32 * LANES));
    private static final VectorSpecies<Integer> I = VectorSpecies.of(int.class, VectorShape.forBitSize(32 * LANES));
    private static final int MOST = RayGroup.MOST;
    private static final int LINKS = 6 * LANES;
    private static final int BLOCK = 4 * LANES;
    private static final int PLACES = 3 * LANES;
    private static final int INFINITY = 0x7f800000;
    private static final int CLEAR = Float.floatToRawIntBits(WatertightRay.CLEAR);

    private static final float[] NONE = {};

    private final int[] enter = new int[LANES];
    private final int[] met = new int[LANES];
    private final float[] hitT = new float[LANES];
    private final float[] hitB1 = new float[LANES];
    private final float[] hitB2 = new float[LANES];

    VectorStream() {
        super(true);
    }

    // Setting up is cut into methods that take and return no vectors: the compiler may box those where it does not inline. An empty place of the group is
    // computed with what stands there, and left out at the end.

    @Override
    void prepare(WideTree tree, int count) {
        RayGroup g = group;
        Arrays.fill(g.reach, 0, count, 0f);
        axis(g.originX, g.directionX, tree.minX, tree.maxX, 0, count);
        axis(g.originY, g.directionY, tree.minY, tree.maxY, 1, count);
        axis(g.originZ, g.directionZ, tree.minZ, tree.maxZ, 2, count);
        int good = ends(count) & shear(count);
        int tame = slab(g.originX, 0, count) & slab(g.originY, 1, count) & slab(g.originZ, 2, count);
        int given = count == MOST ? -1 : (1 << count) - 1;
        g.usable = good & given;
        g.odd = good & given & ~tame;
    }

    /** Writes the inverse as {@code WatertightRay.inverse} and makes the reach include an axis. */
    private void axis(float[] origins, float[] directions, float low, float high, int axis, int count) {
        float[] reach = group.reach;
        float[] state = group.state;
        for (int i = 0; i < count; i += LANES) {
            FloatVector o = FloatVector.fromArray(F, origins, i);
            FloatVector most = FloatVector.broadcast(F, Float.MAX_VALUE);
            FloatVector least = FloatVector.broadcast(F, -Float.MAX_VALUE);
            FloatVector inverse = FloatVector.broadcast(F, 1f).div(FloatVector.fromArray(F, directions, i));
            inverse = inverse.blend(most, inverse.compare(VectorOperators.GT, most));
            inverse = inverse.blend(least, inverse.compare(VectorOperators.LT, least));
            inverse.intoArray(state, (RayGroup.RAW_INVERSE + axis) * MOST + i);
            o.intoArray(state, (RayGroup.RAW_ORIGIN + axis) * MOST + i);
            FloatVector toLow = FloatVector.broadcast(F, low).sub(o).abs();
            FloatVector toHigh = FloatVector.broadcast(F, high).sub(o).abs();
            FloatVector r = FloatVector.fromArray(F, reach, i);
            r = r.blend(toLow, toLow.compare(VectorOperators.GT, r));
            r.blend(toHigh, toHigh.compare(VectorOperators.GT, r)).intoArray(reach, i);
        }
    }

    /** Writes the ends; returns the bits of rays whose ends and origin are right. */
    private int ends(int count) {
        RayGroup g = group;
        long good = 0;
        for (int i = 0; i < count; i += LANES) {
            FloatVector near = FloatVector.fromArray(F, g.tMin, i);
            FloatVector far = FloatVector.fromArray(F, g.tMax, i);
            FloatVector zero = FloatVector.zero(F);
            FloatVector most = FloatVector.broadcast(F, Float.MAX_VALUE);
            FloatVector tMin = zero.blend(near, near.compare(VectorOperators.GT, zero));
            FloatVector tMax = most.blend(far, far.compare(VectorOperators.LT, most));
            tMin.intoArray(g.state, RayGroup.T_MIN * MOST + i);
            tMax.intoArray(g.best, i);
            IntVector.broadcast(I, -1).intoArray(g.bestTriangle, i);
            // A NaN equals nothing and is in no range.
            good |= tMax.compare(VectorOperators.GT, tMin).and(near.compare(VectorOperators.EQ, near))
                    .and(far.compare(VectorOperators.EQ, far))
                    .and(FloatVector.fromArray(F, g.originX, i).abs().compare(VectorOperators.LE, most))
                    .and(FloatVector.fromArray(F, g.originY, i).abs().compare(VectorOperators.LE, most))
                    .and(FloatVector.fromArray(F, g.originZ, i).abs().compare(VectorOperators.LE, most)).toLong() << i;
        }
        return (int) good;
    }

    /** Writes axes, origins and shears of the edge test; returns the bits of rays whose direction is right. */
    private int shear(int count) {
        RayGroup g = group;
        float[] state = g.state;
        long good = 0;
        for (int i = 0; i < count; i += LANES) {
            FloatVector dx = FloatVector.fromArray(F, g.directionX, i);
            FloatVector dy = FloatVector.fromArray(F, g.directionY, i);
            FloatVector dz = FloatVector.fromArray(F, g.directionZ, i);
            FloatVector ox = FloatVector.fromArray(F, g.originX, i);
            FloatVector oy = FloatVector.fromArray(F, g.originY, i);
            FloatVector oz = FloatVector.fromArray(F, g.originZ, i);
            FloatVector ax = dx.abs();
            FloatVector ay = dy.abs();
            FloatVector az = dz.abs();
            VectorMask<Float> mainX = ax.compare(VectorOperators.GE, ay).and(ax.compare(VectorOperators.GE, az));
            VectorMask<Float> mainY = ay.compare(VectorOperators.GE, az).andNot(mainX);
            // The other two axes follow the dominant one in cyclic order, swapped for a negative direction.
            FloatVector dkz = dz.blend(dy, mainY).blend(dx, mainX);
            FloatVector dkx = dx.blend(dz, mainY).blend(dy, mainX);
            FloatVector dky = dy.blend(dx, mainY).blend(dz, mainX);
            FloatVector okz = oz.blend(oy, mainY).blend(ox, mainX);
            FloatVector okx = ox.blend(oz, mainY).blend(oy, mainX);
            FloatVector oky = oy.blend(ox, mainY).blend(oz, mainX);
            VectorMask<Integer> mainXi = mainX.cast(I);
            VectorMask<Integer> mainYi = mainY.cast(I);
            IntVector zero = IntVector.zero(I);
            IntVector one = IntVector.broadcast(I, 1);
            IntVector two = IntVector.broadcast(I, 2);
            IntVector kz = two.blend(one, mainYi).blend(zero, mainXi);
            IntVector kx = zero.blend(two, mainYi).blend(one, mainXi);
            IntVector ky = one.blend(zero, mainYi).blend(two, mainXi);
            VectorMask<Float> swap = dkz.compare(VectorOperators.LT, 0f);
            VectorMask<Integer> swapi = swap.cast(I);
            okx.blend(oky, swap).intoArray(state, RayGroup.ORIGIN * MOST + i);
            oky.blend(okx, swap).intoArray(state, (RayGroup.ORIGIN + 1) * MOST + i);
            okz.intoArray(state, (RayGroup.ORIGIN + 2) * MOST + i);
            dkx.blend(dky, swap).div(dkz).intoArray(state, RayGroup.SHEAR * MOST + i);
            dky.blend(dkx, swap).div(dkz).intoArray(state, (RayGroup.SHEAR + 1) * MOST + i);
            FloatVector.broadcast(F, 1f).div(dkz).intoArray(state, (RayGroup.SHEAR + 2) * MOST + i);
            kx.blend(ky, swapi).intoArray(g.axes, i);
            ky.blend(kx, swapi).intoArray(g.axes, MOST + i);
            kz.intoArray(g.axes, 2 * MOST + i);
            // The longest of three numbers is at least each of them, unless one is NaN.
            FloatVector longest = dkz.abs();
            good |= longest.compare(VectorOperators.GE, WatertightRay.SHORTEST)
                    .and(longest.compare(VectorOperators.LE, WatertightRay.LONGEST))
                    .and(ax.compare(VectorOperators.LE, longest)).and(ay.compare(VectorOperators.LE, longest))
                    .and(az.compare(VectorOperators.LE, longest)).toLong() << i;
        }
        return (int) good;
    }

    /** Writes one axis of the box test; returns the bits of rays whose numbers are finite and not too small. */
    private int slab(float[] origins, int axis, int count) {
        float[] state = group.state;
        long tame = 0;
        for (int i = 0; i < count; i += LANES) {
            FloatVector o = FloatVector.fromArray(F, origins, i);
            FloatVector limit = FloatVector.fromArray(F, state, (RayGroup.SHEAR + 2) * MOST + i).abs().mul(RayGroup.MOST_INVERSE);
            FloatVector least = limit.neg();
            FloatVector cut = FloatVector.fromArray(F, state, (RayGroup.RAW_INVERSE + axis) * MOST + i);
            cut = cut.blend(limit, cut.compare(VectorOperators.GT, limit));
            cut = cut.blend(least, cut.compare(VectorOperators.LT, least));
            FloatVector reach = FloatVector.fromArray(F, group.reach, i);
            FloatVector pad = reach.mul(RayGroup.PAD).add(o.abs().mul(RayGroup.ORIGIN_PAD));
            pad = pad.blend(pad.neg(), cut.compare(VectorOperators.LT, 0f));
            FloatVector near = o.add(pad).neg().mul(cut);
            FloatVector far = o.sub(pad).neg().mul(cut);
            cut.intoArray(state, (RayGroup.INVERSE + axis) * MOST + i);
            near.intoArray(state, (RayGroup.NEAR + axis) * MOST + i);
            far.intoArray(state, (RayGroup.FAR + axis) * MOST + i);
            tame |= near.abs().compare(VectorOperators.LE, Float.MAX_VALUE).and(far.abs().compare(VectorOperators.LE, Float.MAX_VALUE))
                    .and(cut.abs().compare(VectorOperators.LE, Float.MAX_VALUE)).and(cut.compare(VectorOperators.NE, 0f))
                    .and(reach.compare(VectorOperators.GE, RayGroup.LEAST_REACH))
                    .and(reach.mul(limit).compare(VectorOperators.GE, RayGroup.LEAST_REACH * RayGroup.MOST_INVERSE)).toLong() << i;
        }
        return (int) tame;
    }

    @Override
    void closest(WideTree tree, int walked, int octant, int side, float[] destT, float[] destB1, float[] destB2) {
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
        rays[0] = walked;
        enters[0] = 0;
        while (depth > 0) {
            int link = links[--depth];
            int active = rays[depth] & notBefore(best, enters[depth]);
            if (active == 0) {
                continue;
            }
            if (link < 0) {
                int end = WideTree.leafFirst(link) + WideTree.leafCount(link);
                for (int block = WideTree.leafFirst(link); block < end; block++) {
                    hitBlock(tree, block, active, side, false, destT, destB1, destB2);
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
            IntVector infinity = IntVector.broadcast(I, INFINITY);
            IntVector metBy = zero;
            IntVector nearest = infinity;
            do {
                int r = Integer.numberOfTrailingZeros(active);
                active &= active - 1;
                FloatVector ix = FloatVector.broadcast(F, state[RayGroup.INVERSE * MOST + r]);
                FloatVector iy = FloatVector.broadcast(F, state[(RayGroup.INVERSE + 1) * MOST + r]);
                FloatVector iz = FloatVector.broadcast(F, state[(RayGroup.INVERSE + 2) * MOST + r]);
                IntVector from = x0.fma(ix, FloatVector.broadcast(F, state[RayGroup.NEAR * MOST + r])).reinterpretAsInts()
                        .max(y0.fma(iy, FloatVector.broadcast(F, state[(RayGroup.NEAR + 1) * MOST + r])).reinterpretAsInts())
                        .max(z0.fma(iz, FloatVector.broadcast(F, state[(RayGroup.NEAR + 2) * MOST + r])).reinterpretAsInts()
                                .max(FloatVector.broadcast(F, state[RayGroup.T_MIN * MOST + r]).reinterpretAsInts()));
                IntVector to = x1.fma(ix, FloatVector.broadcast(F, state[RayGroup.FAR * MOST + r])).reinterpretAsInts()
                        .min(y1.fma(iy, FloatVector.broadcast(F, state[(RayGroup.FAR + 1) * MOST + r])).reinterpretAsInts())
                        .min(z1.fma(iz, FloatVector.broadcast(F, state[(RayGroup.FAR + 2) * MOST + r])).reinterpretAsInts()
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

    /**
     * Tests the rays of the given bits against a block.
     *
     * @param any whether it is enough to know that a ray hits something; else the best hits are kept
     * @return the bits of rays that hit something, where that is asked
     */
    private int hitBlock(WideTree tree, int block, int active, int side, boolean any, float[] destT, float[] destB1, float[] destB2) {
        float[] v = tree.blocks;
        float[] state = group.state;
        float[] best = group.best;
        int[] axes = group.axes;
        int[] bestTriangle = group.bestTriangle;
        int at = WideTree.FIRST + block * BLOCK;
        long used = (1L << (Float.floatToRawIntBits(v[at + PLACES]) >>> 24)) - 1;
        // Places of corners: only the lowest bits of a lane choose.
        IntVector a = FloatVector.fromArray(F, v, at + PLACES).reinterpretAsInts();
        IntVector b = a.lanewise(VectorOperators.LSHR, 8);
        IntVector c = a.lanewise(VectorOperators.LSHR, 16);
        int blocked = 0;
        do {
            int r = Integer.numberOfTrailingZeros(active);
            active &= active - 1;
            // The vertices, sheared so that the ray is the z axis: WatertightRay.hit, bit by bit.
            FloatVector vz = FloatVector.fromArray(F, v, at + LANES * axes[2 * MOST + r]).sub(state[(RayGroup.ORIGIN + 2) * MOST + r]);
            IntVector xs = FloatVector.fromArray(F, v, at + LANES * axes[r]).sub(state[RayGroup.ORIGIN * MOST + r])
                    .sub(vz.mul(state[RayGroup.SHEAR * MOST + r]))
                    .reinterpretAsInts();
            IntVector ys = FloatVector.fromArray(F, v, at + LANES * axes[MOST + r]).sub(state[(RayGroup.ORIGIN + 1) * MOST + r])
                    .sub(vz.mul(state[(RayGroup.SHEAR + 1) * MOST + r])).reinterpretAsInts();
            IntVector zs = vz.reinterpretAsInts();
            FloatVector ax = a.selectFrom(xs).reinterpretAsFloats();
            FloatVector bx = b.selectFrom(xs).reinterpretAsFloats();
            FloatVector cx = c.selectFrom(xs).reinterpretAsFloats();
            FloatVector ay = a.selectFrom(ys).reinterpretAsFloats();
            FloatVector by = b.selectFrom(ys).reinterpretAsFloats();
            FloatVector cy = c.selectFrom(ys).reinterpretAsFloats();
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
            lanes &= used;
            if (lanes == 0) {
                continue;
            }
            FloatVector det = w0.add(w1).add(w2);
            FloatVector shearZ = FloatVector.broadcast(F, state[(RayGroup.SHEAR + 2) * MOST + r]);
            FloatVector az = a.selectFrom(zs).reinterpretAsFloats();
            FloatVector bz = b.selectFrom(zs).reinterpretAsFloats();
            FloatVector cz = c.selectFrom(zs).reinterpretAsFloats();
            FloatVector sum = w0.mul(shearZ.mul(az)).add(w1.mul(shearZ.mul(bz))).add(w2.mul(shearZ.mul(cz)));
            // Where t is above 0, sum and determinant have the same sign: the triangle that a ray leaves is out here. A sum that is not clear says nothing.
            IntVector clear = sum.reinterpretAsInts().and(0x7fffffff);
            lanes &= ~sum.reinterpretAsInts().lanewise(VectorOperators.XOR, det.reinterpretAsInts()).compare(VectorOperators.LT, 0)
                    .and(clear.compare(VectorOperators.GT, CLEAR)).and(clear.compare(VectorOperators.LT, INFINITY)).toLong();
            if (lanes == 0) {
                continue;
            }
            FloatVector reciprocal = FloatVector.broadcast(F, 1f).div(det);
            FloatVector t = sum.mul(reciprocal);
            // Magnitudes are compared as the bits of integers.
            IntVector magnitude = IntVector.broadcast(I, 0x7fffffff);
            FloatVector across = ax.reinterpretAsInts().and(magnitude).max(bx.reinterpretAsInts().and(magnitude))
                    .max(cx.reinterpretAsInts().and(magnitude)).max(ay.reinterpretAsInts().and(magnitude))
                    .max(by.reinterpretAsInts().and(magnitude)).max(cy.reinterpretAsInts().and(magnitude)).reinterpretAsFloats();
            FloatVector along = az.reinterpretAsInts().and(magnitude).max(bz.reinterpretAsInts().and(magnitude))
                    .max(cz.reinterpretAsInts().and(magnitude)).reinterpretAsFloats();
            FloatVector size = det.reinterpretAsInts().and(magnitude).reinterpretAsFloats();
            FloatVector far = along.mul(shearZ.abs());
            FloatVector product = size.mul(far);
            long usual = size.compare(VectorOperators.GT, WatertightRay.SHORTEST)
                    .and(size.compare(VectorOperators.LT, WatertightRay.LONGEST))
                    .and(far.compare(VectorOperators.GT, WatertightRay.SHORTEST))
                    .and(product.compare(VectorOperators.GT, WatertightRay.SHORTEST))
                    .and(product.compare(VectorOperators.LT, WatertightRay.LONGEST)).toLong();
            lanes &= t.compare(VectorOperators.GT, state[RayGroup.T_MIN * MOST + r]).toLong() | ~usual;
            long plain = usual
                    & across.mul(WatertightRay.NEEDLE).mul(across).mul(across).compare(VectorOperators.LT, size.mul(along)).toLong();
            long certain = lanes & plain & t.compare(VectorOperators.LE, best[r]).toLong();
            long needles = lanes & ~plain;
            if (any) {
                if (certain != 0 || (needles != 0 && group.hitsAny(r, tree, block, needles))) {
                    blocked |= 1 << r;
                }
                continue;
            }
            if (certain != 0) {
                t.intoArray(hitT, 0);
                w1.mul(reciprocal).intoArray(hitB1, 0);
                w2.mul(reciprocal).intoArray(hitB2, 0);
                do {
                    int lane = Long.numberOfTrailingZeros(certain);
                    certain &= certain - 1;
                    int number = tree.numbers[block * LANES + lane];
                    if (hitT[lane] < best[r] || (hitT[lane] == best[r] && (bestTriangle[r] < 0 || number < bestTriangle[r]))) {
                        best[r] = hitT[lane];
                        bestTriangle[r] = number;
                        destT[owner[r]] = hitT[lane];
                        destB1[owner[r]] = hitB1[lane];
                        destB2[owner[r]] = hitB2[lane];
                    }
                } while (certain != 0);
            }
            if (needles != 0) {
                group.keepBest(r, tree, block, needles, owner[r], destT, destB1, destB2);
            }
        } while (active != 0);
        return blocked;
    }

    @Override
    int open(WideTree tree, int walked, int octant, int side) {
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
        int open = walked;
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
                int end = WideTree.leafFirst(link) + WideTree.leafCount(link);
                for (int block = WideTree.leafFirst(link); block < end && (active & open) != 0; block++) {
                    open &= ~hitBlock(tree, block, active & open, side, true, NONE, NONE, NONE);
                }
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
                FloatVector ix = FloatVector.broadcast(F, state[RayGroup.INVERSE * MOST + r]);
                FloatVector iy = FloatVector.broadcast(F, state[(RayGroup.INVERSE + 1) * MOST + r]);
                FloatVector iz = FloatVector.broadcast(F, state[(RayGroup.INVERSE + 2) * MOST + r]);
                IntVector from = x0.fma(ix, FloatVector.broadcast(F, state[RayGroup.NEAR * MOST + r])).reinterpretAsInts()
                        .max(y0.fma(iy, FloatVector.broadcast(F, state[(RayGroup.NEAR + 1) * MOST + r])).reinterpretAsInts())
                        .max(z0.fma(iz, FloatVector.broadcast(F, state[(RayGroup.NEAR + 2) * MOST + r])).reinterpretAsInts()
                                .max(FloatVector.broadcast(F, state[RayGroup.T_MIN * MOST + r]).reinterpretAsInts()));
                IntVector to = x1.fma(ix, FloatVector.broadcast(F, state[RayGroup.FAR * MOST + r])).reinterpretAsInts()
                        .min(y1.fma(iy, FloatVector.broadcast(F, state[(RayGroup.FAR + 1) * MOST + r])).reinterpretAsInts())
                        .min(z1.fma(iz, FloatVector.broadcast(F, state[(RayGroup.FAR + 2) * MOST + r])).reinterpretAsInts()
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
}
