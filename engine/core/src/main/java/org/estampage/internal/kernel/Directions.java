package org.estampage.internal.kernel;

/**
 * Directions over a hemisphere that are the same on every device: an Owen-scrambled Sobol sequence by integer hash, a concentric disk mapping made
 * of +, −, ×, ÷ and √ alone.
 *
 * <p>No operation here may be contracted into a fused multiply-add, reordered or replaced by an approximate one.
 *
 * <p>{@link VectorDirections} draws the same ones, many at a time.
 *
 * @source Laine, Karras, Stratified Sampling for Stochastic Transparency, 2011; Burley, Practical Hash-based Owen Scrambling, JCGT 2020 (scramble and
 *         its constants; from memory); Shirley, Chiu, A Low Distortion Map Between Disk and Square, 1997; Duff et al., Building an Orthonormal
 *         Basis, Revisited, JCGT 2017; the finaliser is lowbias32 (from memory)
 */
public final class Directions {
    private Directions() {
    }

    /** Returns a well-mixed 32-bit value. */
    public static int mix(int x) {
        x ^= x >>> 16;
        x *= 0x7feb352d;
        x ^= x >>> 15;
        x *= 0x846ca68b;
        return x ^ (x >>> 16);
    }

    /** Returns the seed of a texel of the whole image, row 0 on top. */
    public static int texelSeed(int x, int y) {
        return mix(x + mix(y + 0x2545f491));
    }

    /** Returns the Owen scramble of a 32-bit fraction: each bit is flipped by a hash of the bits above it and the seed. */
    public static int owen(int x, int seed) {
        int v = Integer.reverse(x) + seed;
        v ^= v * 0x6c50b47c;
        v ^= v * 0xb82f1e52;
        v ^= v * 0xc7afe638;
        v ^= v * 0x8d22f6e6;
        return Integer.reverse(v);
    }

    /** Returns the first dimension of Sobol point {@code i}, as a 32-bit fraction. */
    public static int sobolX(int i) {
        return Integer.reverse(i);
    }

    /** Returns the second dimension of Sobol point {@code i}, as a 32-bit fraction. */
    public static int sobolY(int i) {
        return Integer.reverse(pascal(i));
    }

    /**
     * Returns the second dimension of Sobol point {@code i} with its bits reversed: the product with Pascal's triangle modulo 2. An entry of the triangle
     * is the product of entries for each binary digit of its row and column (Lucas), so the product falls apart into a step a digit.
     */
    static int pascal(int i) {
        int r = i;
        r ^= r >>> 1 & 0x55555555;
        r ^= r >>> 2 & 0x33333333;
        r ^= r >>> 4 & 0x0f0f0f0f;
        r ^= r >>> 8 & 0x00ff00ff;
        return r ^ r >>> 16;
    }

    /** Returns the scrambled first coordinate, in [0, 1). */
    public static float u(int i, int seed) {
        return (owen(sobolX(i), mix(seed ^ 0x3c6ef372)) >>> 8) * 0x1p-24f;
    }

    /** Returns the scrambled second coordinate, in [0, 1). */
    public static float v(int i, int seed) {
        return (owen(sobolY(i), mix(seed ^ 0xdaa66d2b)) >>> 8) * 0x1p-24f;
    }

    /**
     * Writes point {@code i} of the sequence as a direction about a unit normal.
     *
     * @param uniform false: density in proportion to the cosine; true: the same density everywhere
     * @param dest    xyz at {@code at}, unit length within 3e-7
     */
    public static void about(int i, int seed, boolean uniform, float nx, float ny, float nz, float[] dest, int at) {
        within(1f, i, seed, uniform, nx, ny, nz, dest, at);
    }

    /**
     * Returns how wide a cone is, as {@link #within} takes it: the part of the unit disk's radius, or of the half space's solid angle, that it has.
     *
     * @param halfAngleDegrees between the axis and the cone's side, above 0 and at most 90: then it is the half space, and the width exactly 1
     */
    public static float width(double halfAngleDegrees, boolean uniform) {
        double angle = StrictMath.toRadians(halfAngleDegrees);
        double half = StrictMath.sin(angle / 2);
        return (float) (uniform ? 2 * half * half : StrictMath.sin(angle));
    }

    /**
     * Writes point {@code i} of the sequence as a direction in a cone about a unit normal; of width 1 it is the half space of {@link #about}, bit by bit.
     *
     * @param width   from {@link #width}
     * @param uniform false: density in proportion to the cosine; true: the same density everywhere
     * @param dest    xyz at {@code at}, unit length within 3e-7
     */
    public static void within(float width, int i, int seed, boolean uniform, float nx, float ny, float nz, float[] dest, int at) {
        // Concentric square-to-disk mapping: the larger coordinate is the radius, the quotient the angle in eighths of a turn.
        float u = u(i, seed);
        float v = v(i, seed);
        float a = u + u - 1f;
        float b = v + v - 1f;
        boolean swap = Math.abs(b) > Math.abs(a);
        float r = swap ? b : a;
        float q = r == 0f ? 0f : (swap ? a : b) / r;
        float t = q * q;
        float cos = 1f + t * (-0.308425138f + t * (0.0158543443f + t * (-0.000325991887f + t * (3.59086e-6f - t * 2.46e-8f))));
        float sin = q * (0.785398163f + t * (-0.0807455115f + t * (0.00249039404f + t * (-3.65762e-5f + t * 3.13361e-7f))));
        float x = (swap ? sin : cos) * r;
        float y = (swap ? cos : sin) * r;
        float rr = r * r;
        float z;
        if (uniform) { // Equal-area lift of the disk: z = 1 − w·r², the disk radius becomes √(1 − z²) = r·√(w·(2 − w·r²)).
            float depth = width * rr;
            z = 1f - depth;
            float s = (float) Math.sqrt(width * (2f - depth));
            x *= s;
            y *= s;
        } else { // The disk of radius w, lifted onto the sphere.
            z = (float) Math.sqrt(Math.max(0f, 1f - width * width * rr));
            x *= width;
            y *= width;
        }
        // Basis about the normal, without a branch on its direction.
        float sign = Math.copySign(1f, nz);
        float c = -1f / (sign + nz);
        float d = nx * ny * c;
        dest[at] = x * (1f + sign * nx * nx * c) + y * d + z * nx;
        dest[at + 1] = x * (sign * d) + y * (sign + ny * ny * c) + z * ny;
        dest[at + 2] = x * (-sign * nx) + y * -ny + z * nz;
    }
}
