package org.estampage.uv;

import org.jspecify.annotations.Nullable;

/**
 * Sums over the triangles of a chart that its distortion and density come from.
 *
 * @threads confined
 */
final class StretchSum {
    double meshArea;
    private double texelArea;
    private double stretches;
    private double inverseStretches;
    private double areas;
    private double inverseAreas;
    private double angles;
    private double mostAngle = 1;
    private double least = Double.POSITIVE_INFINITY;
    private double most;

    /**
     * Returns the largest and the least stretch of a triangle's map.
     *
     * @param xyz three points in space
     * @param xy  three points in the plane
     * @return σ₁, σ₂ and the area in space; null where there is no area
     */
    static double @Nullable [] stretches(double[] xyz, double[] xy) {
        double[] e = new double[6];
        for (int i = 0; i < 6; i++) {
            e[i] = xyz[3 + i] - xyz[i % 3];
        }
        double square = e[0] * e[0] + e[1] * e[1] + e[2] * e[2];
        double x = e[1] * e[5] - e[2] * e[4];
        double y = e[2] * e[3] - e[0] * e[5];
        double z = e[0] * e[4] - e[1] * e[3];
        double twice = Math.sqrt(x * x + y * y + z * z);
        double length = Math.sqrt(square);
        double along = (e[0] * e[3] + e[1] * e[4] + e[2] * e[5]) / length;
        double height = twice / length;
        // the columns of the map: what a unit along the first edge becomes, and a unit across it
        double a = (xy[2] - xy[0]) / length;
        double c = (xy[3] - xy[1]) / length;
        double b = (xy[4] - xy[0] - along * a) / height;
        double d = (xy[5] - xy[1] - along * c) / height;
        double turned = Math.sqrt((a + d) * (a + d) + (c - b) * (c - b)) / 2;
        double mirrored = Math.sqrt((a - d) * (a - d) + (c + b) * (c + b)) / 2;
        double small = Math.abs(turned - mirrored);
        boolean measurable = twice > 0 && small > 0 && small * small > 0 && Double.isFinite(1 / (small * small))
                && Double.isFinite((turned + mirrored) * (turned + mirrored));
        return measurable ? new double[] {turned + mirrored, small, twice / 2} : null;
    }

    /** Adds what {@link #stretches} returned. */
    void add(double[] triangle) {
        double s = triangle[0];
        double t = triangle[1];
        double area = triangle[2];
        meshArea += area;
        texelArea += area * s * t;
        stretches += area * (s * s + t * t);
        inverseStretches += area * (1 / (s * s) + 1 / (t * t));
        areas += area * s * t;
        inverseAreas += area / (s * t);
        angles += area * (s / t);
        mostAngle = Math.max(mostAngle, s / t);
        least = Math.min(least, t);
        most = Math.max(most, s);
    }

    /** Returns what stretches are multiplied by where the chart is scaled so that its energy is least. */
    double bestScale() {
        return Math.sqrt(Math.sqrt(inverseStretches / stretches));
    }

    /** Returns the symmetric Dirichlet energy of a map with these stretches. */
    static double energy(double s, double t) {
        return (s * s + t * t + 1 / (s * s) + 1 / (t * t)) / 4;
    }

    UvDistortion distortion() {
        double n = meshArea;
        if (!(n > 0)) {
            return new UvDistortion(Double.NaN, Double.NaN, Double.NaN, Double.NaN, Double.NaN);
        }
        return new UvDistortion(Math.sqrt(stretches / n * (inverseStretches / n)) / 2, Math.sqrt(areas / n * (inverseAreas / n)),
                angles / n,
                Math.sqrt(inverseStretches / n / 2 * (areas / n)), mostAngle);
    }

    TexelDensity density() {
        return meshArea > 0 ? new TexelDensity(Math.sqrt(texelArea / meshArea), least, most) : new TexelDensity(0, 0, 0);
    }
}
