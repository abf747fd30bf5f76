package org.estampage.preview;

/**
 * A direction or place in object space.
 *
 * @param x along x
 * @param y along y
 * @param z along z
 * @threads immutable
 */
record Vector(double x, double y, double z) {
    Vector plus(double factor, Vector o) {
        return new Vector(x + factor * o.x, y + factor * o.y, z + factor * o.z);
    }

    double dot(Vector o) {
        return x * o.x + y * o.y + z * o.z;
    }

    double dot(double ox, double oy, double oz) {
        return x * ox + y * oy + z * oz;
    }

    Vector cross(Vector o) {
        return new Vector(y * o.z - z * o.y, z * o.x - x * o.z, x * o.y - y * o.x);
    }

    Vector times(double factor) {
        return new Vector(factor * x, factor * y, factor * z);
    }

    Vector unit() {
        return times(1 / Math.sqrt(dot(this)));
    }
}
