package org.estampage.internal.kernel;

/**
 * One ray made ready for the watertight triangle test, and the test itself: the specification that every strategy and device repeats bit by bit.
 *
 * <p>The test is a pure function of the ray and the nine vertex coordinates. Vertices are moved to the ray's origin and sheared along its dominant
 * axis; the signs of three edge functions decide. A product of two floats is rounded monotonically, so the sign of an edge function (mul, mul, sub) is
 * the true sign or zero, never the wrong one, and it is the same up to negation for both triangles at an edge. Zero counts as inside: no ray passes
 * between two triangles that share an edge or a vertex.
 *
 * <p>The weights are of one sign, so t is a mean of the corners' own distances; where it is not above tMin there is no hit.
 *
 * <p>Zeros also accept too much: a needle thinner than the rounding of its sheared vertices accepts rays that pass far off its ends. Therefore an
 * accepted triangle's own box, padded, must be met by the ray, and t is clamped to the stretch inside it; of a triangle that is no needle this is known
 * without testing, see {@link #NEEDLE}. The pad is larger than the rounding of the
 * shear (see {@link #PAD}), so this refuses no ray that the sheared triangle truly covers. And the arithmetic of the box test is monotone: a larger box
 * with a larger pad is entered no later and left no earlier, bit by bit. So no tree of boxes can cull an answer that this test gives.
 *
 * @space any; vertices and rays in the same one
 * @edge a ray with a NaN or infinity in origin or direction, a direction whose largest component is outside 2⁻¹⁰⁰ … 2¹⁰⁰, or tMax ≤ tMin hits nothing; a
 *       tMin below 0 counts as 0, a tMax above the largest float as that; a vertex with a NaN or infinity is never hit; det = 0 is a miss
 * @threads confined
 * @source Woop, Benthin, Wald, Watertight Ray/Triangle Intersection, JCGT 2(1), 2013, sections 3 and appendix A; here without the double-precision
 *         fallback, with one division, and with the own-box rule
 */
public final class WatertightRay {
    /**
     * Padding of boxes in units of M, the largest |vertex − origin| of all axes. With e = 2⁻²⁴, a difference v − o, the slope S (|S| ≤ 1), their product
     * and the last subtraction are off by at most e·M, e·M, and twice e·M, and e·2M: a sheared vertex is off by 6·e·M at most on each axis. The slab's own
     * difference, reciprocal and product are off by 3·e·(M + pad). 9·e·M and terms of e² are needed so that the box refuses no ray that the triangle
     * covers; 64·e is taken, see {@link #NEEDLE} for what the rest is good for.
     */
    static final float PAD = 0x1p-18f;

    /**
     * Further padding in units of |origin|, because origin + pad is itself rounded: by e·|origin| at most, and e of the pad. 4·e is
     * taken.
     */
    static final float ORIGIN_PAD = 0x1p-22f;

    /**
     * A triangle is no needle if s³/4 &lt; |det|·z, with s the largest sheared coordinate on the two axes across the ray and z the largest one along it. Then
     * its own box needs no test, because the test would pass and change nothing. For, with weights w as computed, of one sign or zero, the point Σ w·v/Σ w
     * lies in the triangle and so in its box. The exact weights for the computed sheared vertices bring its two coordinates across the ray to 0; a
     * computed weight is off by 3·e·s², so three of them by 9·e·s³/|det| &lt; 36·e·z ≤ 36·e·M. Add the 6·e·M by which the vertices are off, and the 9·e·M by
     * which t is (differences, shear, products, sums, the reciprocal; in units of the dominant axis), taken along a slope of 1 at most on the other axes:
     * the ray's point at t is less than 52·e·M outside the box. With the slab's 3·e·(M + pad) that is below the pad, so t lies between
     * entering and leaving.
     */
    static final float NEEDLE = 0.25f;

    static final float SHORTEST = 0x1p-100f;
    static final float LONGEST = 0x1p100f;
    /** Three products below the normal floats are off by 2⁻¹⁴⁸ together, 2⁻⁴⁹ of this. */
    static final float CLEAR = 0x1p-99f;

    float originX;
    float originY;
    float originZ;
    float inverseX;
    float inverseY;
    float inverseZ;
    float tMin;
    float tMax;
    int kx;
    int ky;
    int kz;
    float originKx;
    float originKy;
    float originKz;
    float shearX;
    float shearY;
    float shearZ;
    int side;
    /** The last hit's distance, in multiples of the direction. */
    public float t;
    /** The last hit's barycentric of corner 1. */
    public float b1;
    /** The last hit's barycentric of corner 2. */
    public float b2;

    /** Makes a ray that must be {@link #set} before use. */
    public WatertightRay() {
    }

    /**
     * Takes over a ray.
     *
     * @param wantedSide 0 for both sides, 1 for triangles that run counter-clockwise as the ray sees them, −1 for clockwise ones
     * @return whether the ray can hit anything at all
     */
    public boolean set(float ox, float oy, float oz, float dx, float dy, float dz, float near, float far, int wantedSide) {
        float ax = Math.abs(dx);
        float ay = Math.abs(dy);
        float az = Math.abs(dz);
        float longest = Math.max(ax, Math.max(ay, az));
        tMin = Math.max(near, 0f);
        tMax = Math.min(far, Float.MAX_VALUE);
        // Written so that a NaN anywhere makes it false.
        if (!(longest >= SHORTEST && longest <= LONGEST && tMax > tMin && Math.abs(ox) <= Float.MAX_VALUE && Math.abs(oy) <= Float.MAX_VALUE
                && Math.abs(oz) <= Float.MAX_VALUE)) {
            return false;
        }
        originX = ox;
        originY = oy;
        originZ = oz;
        inverseX = inverse(dx);
        inverseY = inverse(dy);
        inverseZ = inverse(dz);
        side = wantedSide;
        // The dominant axis becomes kz; the first one at a tie. The other two follow in cyclic order, swapped for a negative direction, which keeps
        // the winding.
        float dkx;
        float dky;
        float dkz;
        if (ax >= ay && ax >= az) {
            kz = 0;
            kx = 1;
            ky = 2;
            dkz = dx;
            dkx = dy;
            dky = dz;
            originKz = ox;
            originKx = oy;
            originKy = oz;
        } else if (ay >= az) {
            kz = 1;
            kx = 2;
            ky = 0;
            dkz = dy;
            dkx = dz;
            dky = dx;
            originKz = oy;
            originKx = oz;
            originKy = ox;
        } else {
            kz = 2;
            kx = 0;
            ky = 1;
            dkz = dz;
            dkx = dx;
            dky = dy;
            originKz = oz;
            originKx = ox;
            originKy = oy;
        }
        if (dkz < 0f) {
            int k = kx;
            kx = ky;
            ky = k;
            float d = dkx;
            dkx = dky;
            dky = d;
            d = originKx;
            originKx = originKy;
            originKy = d;
        }
        shearX = dkx / dkz;
        shearY = dky / dkz;
        shearZ = 1f / dkz;
        return true;
    }

    /**
     * Returns 1 / d, kept finite. Where it is cut off, |d| &lt; 2⁻¹²⁸ is below 2⁻²⁸ of the dominant component: over the whole way to any vertex the ray
     * moves less than e·M/16 along this axis, which the pad covers.
     */
    private static float inverse(float d) {
        return Math.max(-Float.MAX_VALUE, Math.min(Float.MAX_VALUE, 1f / d));
    }

    /** Takes over ray {@code i} of a group, as {@link #set} would. */
    void take(RayGroup group, int i) {
        float[] s = group.state;
        int m = RayGroup.MOST;
        kx = group.axes[i];
        ky = group.axes[m + i];
        kz = group.axes[2 * m + i];
        originKx = s[RayGroup.ORIGIN * m + i];
        originKy = s[(RayGroup.ORIGIN + 1) * m + i];
        originKz = s[(RayGroup.ORIGIN + 2) * m + i];
        shearX = s[RayGroup.SHEAR * m + i];
        shearY = s[(RayGroup.SHEAR + 1) * m + i];
        shearZ = s[(RayGroup.SHEAR + 2) * m + i];
        originX = s[RayGroup.RAW_ORIGIN * m + i];
        originY = s[(RayGroup.RAW_ORIGIN + 1) * m + i];
        originZ = s[(RayGroup.RAW_ORIGIN + 2) * m + i];
        inverseX = s[RayGroup.RAW_INVERSE * m + i];
        inverseY = s[(RayGroup.RAW_INVERSE + 1) * m + i];
        inverseZ = s[(RayGroup.RAW_INVERSE + 2) * m + i];
        tMin = s[RayGroup.T_MIN * m + i];
    }

    /** Returns how far boxes that reach up to {@code largest} from the origin are padded along an axis on which the origin is at {@code o}. */
    static float pad(float largest, float o) {
        return largest * PAD + Math.abs(o) * ORIGIN_PAD;
    }

    /**
     * Tests the triangle whose corners start at {@code a}, {@code b} and {@code c} in {@code v}, xyz each. A hit sets {@link #t}, {@link #b1} and
     * {@link #b2}; a miss leaves them.
     *
     * @param tHigh the largest t that counts
     */
    public boolean hit(float[] v, int a, int b, int c, float tHigh) {
        // Vertices relative to the origin, sheared so that the ray is the z axis.
        float az = v[a + kz] - originKz;
        float bz = v[b + kz] - originKz;
        float cz = v[c + kz] - originKz;
        float ax = v[a + kx] - originKx - shearX * az;
        float bx = v[b + kx] - originKx - shearX * bz;
        float cx = v[c + kx] - originKx - shearX * cz;
        float ay = v[a + ky] - originKy - shearY * az;
        float by = v[b + ky] - originKy - shearY * bz;
        float cy = v[c + ky] - originKy - shearY * cz;
        // Edge functions: weights of corners 0, 1, 2.
        float w0 = cx * by - cy * bx;
        float w1 = ax * cy - ay * cx;
        float w2 = bx * ay - by * ax;
        if ((w0 < 0f || w1 < 0f || w2 < 0f) && (w0 > 0f || w1 > 0f || w2 > 0f)) {
            return false;
        }
        // Most triangles end above; the rest stands apart so that this method stays small enough to be inlined into the walk.
        float across = Math.max(Math.max(Math.max(Math.abs(ax), Math.abs(bx)), Math.max(Math.abs(cx), Math.abs(ay))),
                Math.max(Math.abs(by), Math.abs(cy)));
        return finish(v, a, b, c, w0, w1, w2, az, bz, cz, across, tHigh);
    }

    private boolean finish(float[] v, int a, int b, int c, float w0, float w1, float w2, float az, float bz, float cz, float across,
            float tHigh) {
        float det = w0 + w1 + w2;
        if (det == 0f || det * side < 0f) {
            return false;
        }
        float reciprocal = 1f / det;
        float t0 = shearZ * az;
        float t1 = shearZ * bz;
        float t2 = shearZ * cz;
        float sum = w0 * t0 + w1 * t1 + w2 * t2;
        float hit = sum * reciprocal;
        float along = Math.max(Math.max(Math.abs(az), Math.abs(bz)), Math.abs(cz));
        float size = Math.abs(det);
        float far = along * Math.abs(shearZ);
        float product = size * far;
        // Written so that a NaN takes the long way.
        boolean usual = size > SHORTEST && size < LONGEST && far > SHORTEST && product > SHORTEST && product < LONGEST;
        if (!usual && !isClear(sum)) { // a weight times a distance may have under- or overflowed; a share of one can't
            hit = w0 * reciprocal * t0 + w1 * reciprocal * t1 + w2 * reciprocal * t2;
        }
        if (!(hit > tMin)) {
            return false;
        }
        if (!(usual && NEEDLE * across * across * across < size * along)) {
            hit = withinBox(v, a, b, c, hit);
        }
        // Written so that a NaN makes it false.
        if (!(hit > tMin && hit <= tHigh)) {
            return false;
        }
        t = hit;
        b1 = w1 * reciprocal;
        b2 = w2 * reciprocal;
        return true;
    }

    /**
     * Returns whether a sum of weights times distances is too large for underflow to matter, and has not overflowed. The vector twin asks this before it
     * takes such a sum's sign for that of t.
     */
    private static boolean isClear(float sum) {
        return Math.abs(sum) > CLEAR && Math.abs(sum) <= Float.MAX_VALUE;
    }

    /** Returns the distance brought into the stretch within the triangle's own padded box, NaN if the ray misses that. */
    private float withinBox(float[] v, int a, int b, int c, float hit) {
        // The triangle's own box, padded: the ray must meet it, and the hit lies within.
        float lowX = Math.min(Math.min(v[a], v[b]), v[c]);
        float highX = Math.max(Math.max(v[a], v[b]), v[c]);
        float lowY = Math.min(Math.min(v[a + 1], v[b + 1]), v[c + 1]);
        float highY = Math.max(Math.max(v[a + 1], v[b + 1]), v[c + 1]);
        float lowZ = Math.min(Math.min(v[a + 2], v[b + 2]), v[c + 2]);
        float highZ = Math.max(Math.max(v[a + 2], v[b + 2]), v[c + 2]);
        float reach = reach(lowX, lowY, lowZ, highX, highY, highZ);
        float padX = pad(reach, originX);
        float padY = pad(reach, originY);
        float padZ = pad(reach, originZ);
        float x0 = (lowX - (originX + padX)) * inverseX;
        float x1 = (highX - (originX - padX)) * inverseX;
        float y0 = (lowY - (originY + padY)) * inverseY;
        float y1 = (highY - (originY - padY)) * inverseY;
        float z0 = (lowZ - (originZ + padZ)) * inverseZ;
        float z1 = (highZ - (originZ - padZ)) * inverseZ;
        float enter = Math.max(Math.max(Math.min(x0, x1), Math.min(y0, y1)), Math.min(z0, z1));
        float leave = Math.min(Math.min(Math.max(x0, x1), Math.max(y0, y1)), Math.max(z0, z1));
        return enter <= leave ? Math.min(Math.max(hit, enter), leave) : Float.NaN;
    }

    /** Returns the largest distance, on any axis, from the origin to a plane of a box; a larger box has no smaller one. */
    float reach(float lowX, float lowY, float lowZ, float highX, float highY, float highZ) {
        float x = Math.max(Math.abs(lowX - originX), Math.abs(highX - originX));
        float y = Math.max(Math.abs(lowY - originY), Math.abs(highY - originY));
        float z = Math.max(Math.abs(lowZ - originZ), Math.abs(highZ - originZ));
        return Math.max(Math.max(x, y), z);
    }
}
