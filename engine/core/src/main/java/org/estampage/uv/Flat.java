package org.estampage.uv;

/**
 * A disk laid flat, without flips and without overlaps unless its distortion is infinite.
 *
 * @shape uv: two numbers a vertex
 * @units the surface's: the flat triangles have the area of the surface's
 * @threads immutable by contract
 */
final class Flat {
    /** Where the vertices lie. */
    final double[] uv;
    /** Symmetric Dirichlet energy at the scale that suits it best: 1 for an isometry, infinite where there is no flat shape. */
    final double distortion;
    /** That of the worst triangle, at the same scale. */
    final double worstTriangle;
    /** Whether the distortion had stopped falling; false when the effort was spent or the border stood in its own way. */
    final boolean converged;

    Flat(double[] uv, double distortion, double worstTriangle, boolean converged) {
        this.uv = uv;
        this.distortion = distortion;
        this.worstTriangle = worstTriangle;
        this.converged = converged;
    }
}
