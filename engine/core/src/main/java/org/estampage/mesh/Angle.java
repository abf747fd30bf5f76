package org.estampage.mesh;

/**
 * Angles from +, −, ×, ÷ alone, so that every machine gets the same bits and a loop over millions of corners stays fast.
 *
 * @threads safe for concurrent calls
 */
final class Angle {
    /** The largest error of {@link #of}, in radians: the truncation bound below plus a few roundings of numbers up to π. */
    static final double MAX_ERROR = 2e-13;

    // The arc tangent on [−a, a], a = tan(π/8) = √2 − 1, is 2·Σ (−1)ᵏ q²ᵏ⁺¹/(2k+1)·T₂ₖ₊₁(x/a) with q = tan(π/16). The first eight terms, written
    // as a polynomial, are off by less than 2·q¹⁷/(17·(1 − q²)) = 1.5e-13.
    private static final double C1 = 0.9999999999939939;
    private static final double C3 = -0.3333333316356707;
    private static final double C5 = 0.199999859614783;
    private static final double C7 = -0.14285190667168293;
    private static final double C9 = 0.11100677028988534;
    private static final double C11 = -0.08971411803115888;
    private static final double C13 = 0.06892277615437012;
    private static final double C15 = -0.0363848634537831;
    private static final double TAN_EIGHTH = 0.41421356237309503;

    private Angle() {
    }

    /**
     * Returns the angle whose sine and cosine stand in the ratio of the arguments.
     *
     * @param sine   not negative
     * @param cosine of either sign
     * @units radians, 0 … π, within {@link #MAX_ERROR}
     * @edge both 0: 0
     * @source the Chebyshev series of the arc tangent: e.g. Mason and Handscomb, Chebyshev Polynomials, 2003 (cited from memory)
     */
    static double of(double sine, double cosine) {
        double c = Math.abs(cosine);
        double low = Math.min(sine, c), high = Math.max(sine, c);
        if (high == 0) {
            return 0;
        }
        // First octant: tan = low/high in 0 … 1; above tan(π/8) turn back by π/4, with one division either way.
        boolean turn = low > TAN_EIGHTH * high;
        double x = turn ? (low - high) / (low + high) : low / high;
        double s = x * x;
        double angle = x * (C1 + s * (C3 + s * (C5 + s * (C7 + s * (C9 + s * (C11 + s * (C13 + s * C15)))))));
        if (turn) {
            angle += Math.PI / 4;
        }
        if (sine > c) {
            angle = Math.PI / 2 - angle;
        }
        return cosine < 0 ? Math.PI - angle : angle;
    }
}
