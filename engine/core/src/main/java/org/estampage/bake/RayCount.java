package org.estampage.bake;

/**
 * How many rays a texel needs for its openness to reach a standard error, and what error it has with those it got.
 *
 * <p>The error of n scrambled Sobol rays over surfaces of scans falls as c·√(p(1 − p))·n^−¾, c from 1.13 to 1.33 on those that were measured, p the openness.
 *
 * @threads stateless
 */
final class RayCount {
    private static final double FACTOR = 1.25;
    private static final double POWER = 0.75;

    private RayCount() {
    }

    /**
     * Returns the number of rays, from what others than the texel itself found: a count that its own rays had set would be biased, since a run of open ones
     * ends it early.
     *
     * @param open  open rays of the texels around it, of {@code rays}
     * @param error the standard error to reach, above 0
     * @param most  the most rays
     * @return a power of two, or {@code most}
     */
    static int wanted(int open, int rays, double error, int most) {
        double p = (open + 1.0) / (rays + 2.0);
        double n = StrictMath.pow(FACTOR * Math.sqrt(p * (1 - p)) / error, 1 / POWER);
        int power = 1;
        while (power < n && power < most) {
            power *= 2;
        }
        return Math.min(power, most);
    }

    /** Returns the standard error to expect of {@code rays} rays, at least one, of which {@code open} are open. */
    static double error(int open, int rays) {
        double p = (open + 1.0) / (rays + 2.0);
        return FACTOR * Math.sqrt(p * (1 - p)) * StrictMath.pow(rays, -POWER);
    }
}
