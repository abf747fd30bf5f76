package org.estampage.examples.editor.drawing;

import org.estampage.bvh.RayBatch;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Mesh;
import org.joml.Vector3d;

/**
 * How surfaces look: a key light from the upper left behind the viewer, a sky, a faint rim. No shadows: this is to judge shape by, at once.
 *
 * @threads confined
 */
final class SurfaceLight {
    /** Base colours, linear: warm for what was sculpted, cool for the low poly, reddish for what is seen from its back. */
    private static final double[] SCULPT = {0.50, 0.45, 0.39};
    private static final double[] GAME = {0.30, 0.39, 0.47};
    private static final double[] BACK = {0.42, 0.16, 0.15};

    private final Vector3d key;
    private final Vector3d fill;
    private final Vector3d up;
    private final double[] base = new double[3];
    private final Vector3d normal = new Vector3d();

    SurfaceLight(Lens lens) {
        key = lens.toward().mul(0.75).fma(-0.6, lens.right()).fma(0.75, lens.up()).normalize();
        fill = lens.toward().mul(0.4).fma(0.9, lens.right()).fma(0.1, lens.up()).normalize();
        up = new Vector3d(0, 1, 0);
    }

    /** Writes the colour of a mesh where a ray meets it, linear. */
    void surface(Mesh mesh, int triangle, double b1, double b2, RayBatch rays, int ray, boolean low, double[] dest) {
        double facing = faceTowards(mesh, triangle, rays, ray);
        shadingNormal(mesh, triangle, b1, b2);
        double seen = -(normal.x * rays.directionX[ray] + normal.y * rays.directionY[ray] + normal.z * rays.directionZ[ray]);
        if (seen < 0) {
            normal.negate();
            seen = -seen;
        }
        baseColour(mesh, triangle, b1, b2, low, facing < 0);
        double lit = 0.85 * Math.max(0, normal.dot(key)) + 0.18 * Math.max(0, normal.dot(fill)) + 0.20 + 0.14 * normal.dot(up);
        double shine = gleam(normal.dot(key), seen);
        double rim = Math.pow(1 - Math.min(1, seen), 4) * 0.10;
        for (int k = 0; k < 3; k++) {
            dest[k] = base[k] * lit * 1.25 + shine + rim;
        }
    }

    /** A soft highlight where the surface faces both the light and the viewer: enough to read small shapes by, never white. */
    private static double gleam(double toKey, double seen) {
        return toKey > 0 ? 0.12 * Math.pow(toKey * seen, 16) : 0;
    }

    /** Returns whether the triangle's front is seen (above 0) or its back. */
    private static double faceTowards(Mesh mesh, int triangle, RayBatch rays, int ray) {
        float[] p = mesh.positions();
        int[] v = mesh.positionIndices();
        int a = 3 * v[3 * triangle], b = 3 * v[3 * triangle + 1], c = 3 * v[3 * triangle + 2];
        double ux = (double) p[b] - p[a], uy = (double) p[b + 1] - p[a + 1], uz = (double) p[b + 2] - p[a + 2];
        double vx = (double) p[c] - p[a], vy = (double) p[c + 1] - p[a + 1], vz = (double) p[c + 2] - p[a + 2];
        return -((uy * vz - uz * vy) * rays.directionX[ray] + (uz * vx - ux * vz) * rays.directionY[ray]
                + (ux * vy - uy * vx) * rays.directionZ[ray]);
    }

    private void shadingNormal(Mesh mesh, int triangle, double b1, double b2) {
        Attribute normals = mesh.normals().orElseThrow();
        normal.set(mixed(normals, triangle, b1, b2, 0), mixed(normals, triangle, b1, b2, 1), mixed(normals, triangle, b1, b2, 2));
        double length = normal.length();
        if (length > 0) {
            normal.div(length);
        }
    }

    private void baseColour(Mesh mesh, int triangle, double b1, double b2, boolean low, boolean back) {
        boolean painted = !back && !low && !mesh.colourSets().isEmpty() && mesh.colourSets().getFirst().components() >= 3;
        for (int k = 0; k < 3; k++) {
            if (painted) {
                double stored = Math.clamp(mixed(mesh.colourSets().getFirst(), triangle, b1, b2, k), 0, 1);
                // Painted colours are dark where iron is: half of them, half plain, so that shape stays to be seen.
                base[k] = 0.6 * Tones.light((int) (stored * 255 + 0.5) << 16, 0) + 0.4 * SCULPT[k] * 0.8;
            } else {
                base[k] = back ? BACK[k] : low ? GAME[k] : SCULPT[k];
            }
        }
    }

    private static double mixed(Attribute values, int triangle, double b1, double b2, int component) {
        int[] at = values.indices();
        float[] v = values.values();
        int n = values.components();
        return (1 - b1 - b2) * v[n * at[3 * triangle] + component] + b1 * v[n * at[3 * triangle + 1] + component]
                + b2 * v[n * at[3 * triangle + 2] + component];
    }
}
