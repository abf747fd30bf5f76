package org.estampage.benchmarks;

import java.math.BigDecimal;
import java.math.MathContext;
import org.estampage.bvh.RayBatch;
import org.estampage.mesh.Mesh;

/**
 * Tests one ray against one triangle without any rounding: settles who is right where two float tests differ.
 *
 * <p>Sums and products of floats are finite decimals, so all signs are exact; only the distance is divided, to 34 digits.
 *
 * @source Möller, Trumbore, Fast, Minimum Storage Ray/Triangle Intersection, 1997
 * @threads stateless
 */
final class ExactTriangle {
    private ExactTriangle() {
    }

    /**
     * What is true of a ray and a triangle.
     *
     * @param hit   whether the ray, within its ends, meets the triangle or its border
     * @param t     where it meets the plane, in multiples of its direction; NaN for a ray in the plane
     * @param shift by how much t grows if the plane moves along its normal by the largest component of corner − origin: large for grazing rays
     */
    record Truth(boolean hit, double t, double shift) {
    }

    static Truth of(Mesh mesh, int triangle, RayBatch rays, int ray) {
        int[] corners = mesh.positionIndices();
        BigDecimal[] origin = {exact(rays.originX[ray]), exact(rays.originY[ray]), exact(rays.originZ[ray])};
        BigDecimal[] d = {exact(rays.directionX[ray]), exact(rays.directionY[ray]), exact(rays.directionZ[ray])};
        BigDecimal[] a = corner(mesh, corners[3 * triangle]);
        BigDecimal[] e1 = minus(corner(mesh, corners[3 * triangle + 1]), a);
        BigDecimal[] e2 = minus(corner(mesh, corners[3 * triangle + 2]), a);
        BigDecimal[] s = minus(origin, a);
        BigDecimal[] p = cross(d, e2);
        BigDecimal[] q = cross(s, e1);
        BigDecimal det = dot(e1, p);
        if (det.signum() == 0) {
            return new Truth(false, Double.NaN, Double.POSITIVE_INFINITY);
        }
        BigDecimal sign = BigDecimal.valueOf(det.signum());
        BigDecimal size = det.abs();
        BigDecimal b1 = dot(s, p).multiply(sign);
        BigDecimal b2 = dot(d, q).multiply(sign);
        BigDecimal t = dot(e2, q).multiply(sign);
        boolean inside = b1.signum() >= 0 && b2.signum() >= 0 && b1.add(b2).compareTo(size) <= 0;
        boolean within = t.compareTo(exact(rays.tMin[ray]).multiply(size)) > 0
                && (rays.tMax[ray] == Float.POSITIVE_INFINITY || t.compareTo(exact(rays.tMax[ray]).multiply(size)) <= 0);
        double reach = Math.max(largest(s), Math.max(largest(minus(s, e1)), largest(minus(s, e2))));
        BigDecimal[] normal = cross(e1, e2);
        double length = Math.sqrt(dot(normal, normal).doubleValue());
        return new Truth(inside && within, t.divide(size, MathContext.DECIMAL128).doubleValue(), reach * length / size.doubleValue());
    }

    private static double largest(BigDecimal[] a) {
        return Math.max(Math.abs(a[0].doubleValue()), Math.max(Math.abs(a[1].doubleValue()), Math.abs(a[2].doubleValue())));
    }

    private static BigDecimal exact(float value) {
        return new BigDecimal((double) value);
    }

    private static BigDecimal[] corner(Mesh mesh, int vertex) {
        float[] p = mesh.positions();
        return new BigDecimal[] {exact(p[3 * vertex]), exact(p[3 * vertex + 1]), exact(p[3 * vertex + 2])};
    }

    private static BigDecimal[] minus(BigDecimal[] a, BigDecimal[] b) {
        return new BigDecimal[] {a[0].subtract(b[0]), a[1].subtract(b[1]), a[2].subtract(b[2])};
    }

    private static BigDecimal[] cross(BigDecimal[] a, BigDecimal[] b) {
        return new BigDecimal[] {a[1].multiply(b[2]).subtract(a[2].multiply(b[1])), a[2].multiply(b[0]).subtract(a[0].multiply(b[2])),
                a[0].multiply(b[1]).subtract(a[1].multiply(b[0]))};
    }

    private static BigDecimal dot(BigDecimal[] a, BigDecimal[] b) {
        return a[0].multiply(b[0]).add(a[1].multiply(b[1])).add(a[2].multiply(b[2]));
    }
}
