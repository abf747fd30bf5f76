package org.estampage.uv;

/**
 * A disk laid flat, without flips and without overlaps unless its distortion is infinite.
 *
 * @shape uv: two numbers a vertex
 * @units those of the disk
 * @threads immutable by contract
 */
final class Flat {
    /** Where its vertices lie. */
    final double[] uv;
    /** Symmetric Dirichlet energy: ¼ of the area-weighted mean of σ₁² + σ₂² + σ₁⁻² + σ₂⁻²; 1 for an isometry, infinity where there is no flat shape. */
    final double distortion;
    /** That of the worst triangle. */
    final double worstTriangle;

    Flat(double[] uv, double distortion, double worstTriangle) {
        this.uv = uv;
        this.distortion = distortion;
        this.worstTriangle = worstTriangle;
    }
}
