package org.estampage.uv;

/** How far a flattening goes. */
enum Effort {
    /** To see whether charts may be sewn: within about a thousandth of the least distortion. */
    QUICK(12, 1e-3, 1e-4),
    /** For the charts that stay. */
    FULL(200, 1e-9, 1e-8);

    /** The most descents. */
    final int steps;
    /** The relative fall of the energy below which it has converged. */
    final double tolerance;
    /** The part of the squared error that a linear solve leaves. */
    final double residual;

    Effort(int steps, double tolerance, double residual) {
        this.steps = steps;
        this.tolerance = tolerance;
        this.residual = residual;
    }
}
