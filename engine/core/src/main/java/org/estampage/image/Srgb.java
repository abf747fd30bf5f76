package org.estampage.image;

/**
 * The sRGB transfer curve.
 *
 * @source IEC 61966-2-1:1999, the piecewise curve with exponent 2.4
 */
public final class Srgb {
    private Srgb() {
    }

    /** Returns the sRGB value of a linear one; both 0…1. */
    public static float encode(float linear) {
        double v = linear;
        return (float) (v <= 0.0031308 ? 12.92 * v : 1.055 * StrictMath.pow(v, 1 / 2.4) - 0.055);
    }

    /** Returns the linear value of an sRGB one; both 0…1. */
    public static float decode(float encoded) {
        double v = encoded;
        return (float) (v <= 0.04045 ? v / 12.92 : StrictMath.pow((v + 0.055) / 1.055, 2.4));
    }
}
