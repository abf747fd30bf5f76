package org.estampage.internal.kernel;

import jdk.incubator.vector.FloatVector;
import jdk.incubator.vector.IntVector;
import jdk.incubator.vector.VectorMask;
import jdk.incubator.vector.VectorOperators;
import jdk.incubator.vector.VectorSpecies;

/**
 * The vector twin of {@link Directions#about}: the same operations in the same order, a lane a direction, so the same bits. Must not be loaded where the
 * Vector API's module is missing.
 *
 * @threads stateless
 */
final class VectorDirections {
    private static final VectorSpecies<Float> F = FloatVector.SPECIES_PREFERRED;
    private static final VectorSpecies<Integer> I = IntVector.SPECIES_PREFERRED;
    /** Directions drawn at once. */
    static final int LANES = F.length();

    private VectorDirections() {
    }

    /**
     * Draws directions about unit normals; entry i is what {@link Directions#about} gives for point {@code number[i]} of sequence {@code seed[i]}.
     *
     * @param destX for {@code count} entries, as {@code destY} and {@code destZ}
     */
    static void about(int count, int[] number, int[] seed, boolean uniform, float[] normalX, float[] normalY, float[] normalZ,
            float[] destX,
            float[] destY, float[] destZ, float[] scratch) {
        int whole = F.loopBound(count);
        coordinates(whole, number, seed, destX, destY);
        lift(whole, uniform, normalX, normalY, normalZ, destX, destY, destZ);
        for (int i = whole; i < count; i++) {
            Directions.about(number[i], seed[i], uniform, normalX[i], normalY[i], normalZ[i], scratch, 0);
            destX[i] = scratch[0];
            destY[i] = scratch[1];
            destZ[i] = scratch[2];
        }
    }

    /**
     * Writes the scrambled points of the unit square, as {@link Directions#u} and {@link Directions#v}.
     *
     * <p>One loop serves both dimensions, and the lift stands apart, because the compiler stops inlining at 18,000 nodes, some 70 vector operations, and
     * boxes every vector from there on.
     */
    private static void coordinates(int count, int[] number, int[] seed, float[] destU, float[] destV) {
        for (int dimension = 0; dimension < 2; dimension++) {
            int salt = dimension == 0 ? 0x3c6ef372 : 0xdaa66d2b;
            float[] dest = dimension == 0 ? destU : destV;
            for (int i = 0; i < count; i += LANES) {
                IntVector n = IntVector.fromArray(I, number, i);
                if (dimension == 1) {
                    n = pascal(n);
                }
                fraction(n, mix(IntVector.fromArray(I, seed, i).lanewise(VectorOperators.XOR, salt))).intoArray(dest, i);
            }
        }
    }

    /** Turns points of the unit square into directions: u stands in {@code inoutX} before, v in {@code inoutY}. */
    private static void lift(int count, boolean uniform, float[] normalX, float[] normalY, float[] normalZ, float[] inoutX, float[] inoutY,
            float[] destZ) {
        for (int i = 0; i < count; i += LANES) {
            // Concentric square-to-disk mapping: the larger coordinate is the radius, the quotient the angle in eighths of a turn.
            FloatVector u = FloatVector.fromArray(F, inoutX, i);
            FloatVector v = FloatVector.fromArray(F, inoutY, i);
            FloatVector a = u.add(u).sub(1f);
            FloatVector b = v.add(v).sub(1f);
            VectorMask<Float> swap = b.abs().compare(VectorOperators.GT, a.abs());
            FloatVector r = a.blend(b, swap);
            FloatVector q = b.blend(a, swap).div(r);
            q = q.blend(0f, r.compare(VectorOperators.EQ, 0f));
            FloatVector t = q.mul(q);
            FloatVector cos = t.mul(-2.46e-8f).add(3.59086e-6f).mul(t).add(-0.000325991887f).mul(t).add(0.0158543443f).mul(t)
                    .add(-0.308425138f).mul(t).add(1f);
            FloatVector sin = t.mul(3.13361e-7f).add(-3.65762e-5f).mul(t).add(0.00249039404f).mul(t).add(-0.0807455115f).mul(t)
                    .add(0.785398163f).mul(q);
            FloatVector x = cos.blend(sin, swap).mul(r);
            FloatVector y = sin.blend(cos, swap).mul(r);
            FloatVector rr = r.mul(r);
            FloatVector one = FloatVector.broadcast(F, 1f);
            FloatVector z;
            if (uniform) { // Equal-area lift of the disk.
                z = one.sub(rr);
                FloatVector lift = FloatVector.broadcast(F, 2f).sub(rr).sqrt();
                x = x.mul(lift);
                y = y.mul(lift);
            } else {
                z = one.sub(rr).sqrt(); // r is in [−1, 1): never below 0
            }
            // Basis about the normal, without a branch on its direction.
            FloatVector nx = FloatVector.fromArray(F, normalX, i);
            FloatVector ny = FloatVector.fromArray(F, normalY, i);
            FloatVector nz = FloatVector.fromArray(F, normalZ, i);
            FloatVector sign = nz.reinterpretAsInts().and(0x80000000).or(0x3f800000).reinterpretAsFloats();
            FloatVector c = FloatVector.broadcast(F, -1f).div(sign.add(nz));
            FloatVector d = nx.mul(ny).mul(c);
            x.mul(sign.mul(nx).mul(nx).mul(c).add(1f)).add(y.mul(d)).add(z.mul(nx)).intoArray(inoutX, i);
            x.mul(sign.mul(d)).add(y.mul(ny.mul(ny).mul(c).add(sign))).add(z.mul(ny)).intoArray(inoutY, i);
            x.mul(sign.neg().mul(nx)).add(y.mul(ny.neg())).add(z.mul(nz)).intoArray(destZ, i);
        }
    }

    private static IntVector mix(IntVector seed) {
        IntVector x = seed;
        x = x.lanewise(VectorOperators.XOR, x.lanewise(VectorOperators.LSHR, 16));
        x = x.mul(0x7feb352d);
        x = x.lanewise(VectorOperators.XOR, x.lanewise(VectorOperators.LSHR, 15));
        x = x.mul(0x846ca68b);
        return x.lanewise(VectorOperators.XOR, x.lanewise(VectorOperators.LSHR, 16));
    }

    private static IntVector pascal(IntVector i) {
        IntVector r = i;
        r = r.lanewise(VectorOperators.XOR, r.lanewise(VectorOperators.LSHR, 1).and(0x55555555));
        r = r.lanewise(VectorOperators.XOR, r.lanewise(VectorOperators.LSHR, 2).and(0x33333333));
        r = r.lanewise(VectorOperators.XOR, r.lanewise(VectorOperators.LSHR, 4).and(0x0f0f0f0f));
        r = r.lanewise(VectorOperators.XOR, r.lanewise(VectorOperators.LSHR, 8).and(0x00ff00ff));
        return r.lanewise(VectorOperators.XOR, r.lanewise(VectorOperators.LSHR, 16));
    }

    /** Returns the Owen scramble, in [0, 1), of fractions whose bits are given in reverse. */
    private static FloatVector fraction(IntVector reversed, IntVector seed) {
        IntVector v = reversed.add(seed);
        v = v.lanewise(VectorOperators.XOR, v.mul(0x6c50b47c));
        v = v.lanewise(VectorOperators.XOR, v.mul(0xb82f1e52));
        v = v.lanewise(VectorOperators.XOR, v.mul(0xc7afe638));
        v = v.lanewise(VectorOperators.XOR, v.mul(0x8d22f6e6));
        IntVector bits = v.lanewise(VectorOperators.REVERSE).lanewise(VectorOperators.LSHR, 8);
        return ((FloatVector) bits.convertShape(VectorOperators.I2F, F, 0)).mul(0x1p-24f);
    }
}
