package org.estampage.internal.kernel;

import java.lang.invoke.MethodHandles;
import jdk.incubator.vector.FloatVector;
import jdk.incubator.vector.IntVector;
import jdk.incubator.vector.VectorMask;
import jdk.incubator.vector.VectorOperators;
import jdk.incubator.vector.VectorShape;
import jdk.incubator.vector.VectorSpecies;

/**
 * The steps of {@link WideNearest} with vectors, made a hidden class a width as {@link VectorStream} is; as an ordinary class it can't be used.
 *
 * <p>Maxima and minima are taken of floats as the bits of integers: what is negative only has to stay negative.
 *
 * @threads confined
 */
final class VectorNearest extends WideNearest {
    private static final int LANES = WideKernels.lanes(MethodHandles.lookup());
    private static final VectorSpecies<Float> F = VectorSpecies.of(float.class, VectorShape.forBitSize(32 * LANES));
    private static final VectorSpecies<Integer> I = VectorSpecies.of(int.class, VectorShape.forBitSize(32 * LANES));
    private static final int LINKS = 6 * LANES;
    private static final int PLACES = 3 * LANES;

    VectorNearest() {
    }

    // Not in the class above: there the calls of two widths would share a profile, and a walk that is compiled for both allocates vectors.
    @Override
    void walk(WideTree tree, boolean narrow) {
        int[] links = stackLink;
        float[] squares = stackSquare;
        int depth = 1;
        links[0] = WideTree.FIRST;
        squares[0] = 0;
        while (depth > 0) {
            int link = links[--depth];
            if (squares[depth] > cull) {
                continue;
            }
            if (link >= 0) {
                if (narrow && bestTriangle < 0) {
                    narrowed = Math.min(narrowed, farCorner(tree.nodes, link) * ABOVE + Float.MIN_NORMAL);
                    cull = Math.min(cull, narrowed);
                }
                depth = open(tree.nodes, link, depth);
                continue;
            }
            int end = WideTree.leafFirst(link) + WideTree.leafCount(link);
            for (int block = WideTree.leafFirst(link); block < end; block++) {
                int at = WideTree.FIRST + block * WideTree.blockStride(LANES);
                long found = ahead(tree.blocks, at);
                if (found != 0) {
                    found &= near(tree.blocks, at);
                    if (found != 0) {
                        judge(tree, block, found);
                    }
                }
            }
        }
    }

    /** Returns the least squared distance, rounded, to the farthest corner of a child of a node; infinity if there is no child. */
    private float farCorner(float[] nodes, int link) {
        FloatVector sum = FloatVector.zero(F);
        for (int axis = 0; axis < 3; axis++) {
            float p = axis == 0 ? x : axis == 1 ? y : z;
            FloatVector lo = FloatVector.fromArray(F, nodes, link + 2 * axis * LANES).sub(p);
            FloatVector hi = FloatVector.fromArray(F, nodes, link + (2 * axis + 1) * LANES).sub(p);
            sum = sum.add(lo.mul(lo).reinterpretAsInts().max(hi.mul(hi).reinterpretAsInts()).reinterpretAsFloats());
        }
        return Float.intBitsToFloat(sum.reinterpretAsInts().reduceLanes(VectorOperators.MIN));
    }

    /** Pushes the children of a node that may hold the answer, the nearest on top; returns the new depth. */
    private int open(float[] nodes, int link, int depth) {
        FloatVector px = FloatVector.broadcast(F, x);
        FloatVector py = FloatVector.broadcast(F, y);
        FloatVector pz = FloatVector.broadcast(F, z);
        FloatVector x0 = FloatVector.fromArray(F, nodes, link).sub(px);
        FloatVector x1 = FloatVector.fromArray(F, nodes, link + LANES).sub(px);
        FloatVector y0 = FloatVector.fromArray(F, nodes, link + 2 * LANES).sub(py);
        FloatVector y1 = FloatVector.fromArray(F, nodes, link + 3 * LANES).sub(py);
        FloatVector z0 = FloatVector.fromArray(F, nodes, link + 4 * LANES).sub(pz);
        FloatVector z1 = FloatVector.fromArray(F, nodes, link + 5 * LANES).sub(pz);
        IntVector zero = IntVector.zero(I);
        FloatVector dx = x0.reinterpretAsInts().max(x1.neg().reinterpretAsInts()).max(zero).reinterpretAsFloats();
        FloatVector dy = y0.reinterpretAsInts().max(y1.neg().reinterpretAsInts()).max(zero).reinterpretAsFloats();
        FloatVector dz = z0.reinterpretAsInts().max(z1.neg().reinterpretAsInts()).max(zero).reinterpretAsFloats();
        FloatVector s = dx.mul(dx).add(dy.mul(dy)).add(dz.mul(dz)).mul(BELOW).sub(Float.MIN_NORMAL);
        s.intoArray(square, 0);
        // The corner of a box that is the least ahead.
        FloatVector plane = FloatVector.fromArray(F, nodes, link + (towardX < 0 ? LANES : 0)).sub(px).mul(towardX)
                .add(FloatVector.fromArray(F, nodes, link + (towardY < 0 ? 3 * LANES : 2 * LANES)).sub(py).mul(towardY))
                .add(FloatVector.fromArray(F, nodes, link + (towardZ < 0 ? 5 * LANES : 4 * LANES)).sub(pz).mul(towardZ));
        long met = s.compare(VectorOperators.LE, cull).and(plane.compare(VectorOperators.LE, cullPlane)).toLong();
        return push(nodes, link, depth, met);
    }

    private int push(float[] nodes, int link, int base, long met) {
        int[] links = stackLink;
        float[] squares = stackSquare;
        int depth = base;
        for (long rest = met; rest != 0; rest &= rest - 1) {
            int c = Long.numberOfTrailingZeros(rest);
            float d = square[c];
            int p = depth++;
            while (p > base && squares[p - 1] < d) {
                squares[p] = squares[p - 1];
                links[p] = links[p - 1];
                p--;
            }
            squares[p] = d;
            links[p] = Float.floatToRawIntBits(nodes[link + LINKS + c]);
        }
        return depth;
    }

    /** Returns the bits of a block's lanes whose planes are not beyond the best. */
    private long ahead(float[] blocks, int at) {
        // Places of corners: only the lowest bits of a lane choose.
        IntVector a = FloatVector.fromArray(F, blocks, at + PLACES).reinterpretAsInts();
        IntVector plane = FloatVector.fromArray(F, blocks, at).sub(x).mul(towardX)
                .add(FloatVector.fromArray(F, blocks, at + LANES).sub(y).mul(towardY))
                .add(FloatVector.fromArray(F, blocks, at + 2 * LANES).sub(z).mul(towardZ)).reinterpretAsInts();
        VectorMask<Float> lanes = a.selectFrom(plane).reinterpretAsFloats().compare(VectorOperators.LE, cullPlane)
                .or(a.lanewise(VectorOperators.LSHR, 8).selectFrom(plane).reinterpretAsFloats().compare(VectorOperators.LE, cullPlane))
                .or(a.lanewise(VectorOperators.LSHR, 16).selectFrom(plane).reinterpretAsFloats().compare(VectorOperators.LE, cullPlane));
        return lanes.toLong() & (1L << (Float.floatToRawIntBits(blocks[at + PLACES]) >>> 24)) - 1;
    }

    /** Returns the bits of a block's lanes whose boxes are not beyond the best; their bounds go to {@link #square}. */
    private long near(float[] blocks, int at) {
        IntVector a = FloatVector.fromArray(F, blocks, at + PLACES).reinterpretAsInts();
        IntVector b = a.lanewise(VectorOperators.LSHR, 8);
        IntVector c = a.lanewise(VectorOperators.LSHR, 16);
        FloatVector sum = FloatVector.zero(F);
        for (int axis = 0; axis < 3; axis++) {
            float p = axis == 0 ? x : axis == 1 ? y : z;
            IntVector v = FloatVector.fromArray(F, blocks, at + axis * LANES).sub(p).reinterpretAsInts();
            IntVector v0 = a.selectFrom(v);
            IntVector v1 = b.selectFrom(v);
            IntVector v2 = c.selectFrom(v);
            // Of numbers of one sign the least as bits is the nearest to 0; between signs the point is inside the box on this axis.
            IntVector mixed = v0.lanewise(VectorOperators.XOR, v1).or(v0.lanewise(VectorOperators.XOR, v2));
            FloatVector d = v0.min(v1).min(v2).blend(0, mixed.compare(VectorOperators.LT, 0)).reinterpretAsFloats();
            sum = sum.add(d.mul(d));
        }
        FloatVector s = sum.mul(BELOW).sub(Float.MIN_NORMAL);
        s.intoArray(square, 0);
        return s.compare(VectorOperators.LE, cull).toLong();
    }
}
