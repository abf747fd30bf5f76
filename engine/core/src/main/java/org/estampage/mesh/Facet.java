package org.estampage.mesh;

/**
 * One triangle's unit normal and corner angles, computed in double from the float positions. A scratch object: fill it again for each triangle.
 *
 * @threads confined
 */
final class Facet {
    double nx, ny, nz;
    double doubleArea;
    double angle0, angle1, angle2;

    /**
     * Computes normal and area.
     *
     * @return whether the triangle has an area; if not, the normal is 0
     * @edge a coordinate that is not finite: no area
     */
    boolean setNormal(float[] p, int v0, int v1, int v2) {
        double x0 = p[3 * v0], y0 = p[3 * v0 + 1], z0 = p[3 * v0 + 2];
        double ax = p[3 * v1] - x0, ay = p[3 * v1 + 1] - y0, az = p[3 * v1 + 2] - z0;
        double bx = p[3 * v2] - x0, by = p[3 * v2 + 1] - y0, bz = p[3 * v2 + 2] - z0;
        double cx = ay * bz - az * by, cy = az * bx - ax * bz, cz = ax * by - ay * bx;
        // Floats lie between 2⁻¹⁴⁹ and 2¹²⁸: fourth powers of their differences neither overflow nor vanish in double.
        double length = Math.sqrt(cx * cx + cy * cy + cz * cz);
        doubleArea = length;
        if (!(length > 0) || length == Double.POSITIVE_INFINITY) {
            nx = 0;
            ny = 0;
            nz = 0;
            doubleArea = 0;
            return false;
        }
        nx = cx / length;
        ny = cy / length;
        nz = cz / length;
        return true;
    }

    /** Computes normal, area and the three corner angles; returns whether the triangle has an area, if not, all are 0. */
    boolean set(float[] p, int v0, int v1, int v2) {
        if (!setNormal(p, v0, v1, v2)) {
            angle0 = 0;
            angle1 = 0;
            angle2 = 0;
            return false;
        }
        double x0 = p[3 * v0], y0 = p[3 * v0 + 1], z0 = p[3 * v0 + 2];
        double x1 = p[3 * v1], y1 = p[3 * v1 + 1], z1 = p[3 * v1 + 2];
        double x2 = p[3 * v2], y2 = p[3 * v2 + 1], z2 = p[3 * v2 + 2];
        double ax = x1 - x0, ay = y1 - y0, az = z1 - z0;
        double bx = x2 - x0, by = y2 - y0, bz = z2 - z0;
        double cx = x2 - x1, cy = y2 - y1, cz = z2 - z1;
        // The cross product of the two edges at a corner has the same length, twice the area, at all three.
        angle0 = Angle.of(doubleArea, ax * bx + ay * by + az * bz);
        angle1 = Angle.of(doubleArea, -(ax * cx + ay * cy + az * cz));
        angle2 = Angle.of(doubleArea, bx * cx + by * cy + bz * cz);
        return true;
    }
}
