package org.estampage.examples.editor.drawing;

import org.estampage.mesh.Mesh;

/** The lines along the edges of triangles. */
final class Edges {
    /** Half a line's width in pixels of the window, and over how many it fades. */
    private static final double HALF_WIDTH = 0.55;
    private static final double FADE = 0.9;
    /** Triangles of fewer pixels have no lines, of more have all of theirs: between all would be line. */
    private static final double FINEST = 4;
    private static final double COARSEST = 14;

    private Edges() {
    }

    /**
     * Returns how much of a pixel at a point of a triangle is line, 0 … 1.
     *
     * @param pixel how wide a pixel of the window is there, in mesh units; a screen may have several for it
     */
    static double cover(Mesh mesh, int triangle, double b1, double b2, double pixel) {
        int[] v = mesh.positionIndices();
        float[] p = mesh.positions();
        int a = 3 * v[3 * triangle], b = 3 * v[3 * triangle + 1], c = 3 * v[3 * triangle + 2];
        double bc = length(p, b, c), ca = length(p, c, a), ab = length(p, a, b);
        double doubleArea = doubleArea(p, a, b, c);
        double most = Math.max(bc, Math.max(ca, ab));
        double smallest = most > 0 ? doubleArea / most / pixel : 0;
        double strength = Math.clamp((smallest - FINEST) / (COARSEST - FINEST), 0, 1);
        if (strength == 0) {
            return 0;
        }
        // The distance from an edge is the opposite corner's barycentric times its height.
        double away = doubleArea * Math.min((1 - b1 - b2) / bc, Math.min(b1 / ca, b2 / ab)) / pixel;
        return strength * Math.clamp(1 - (away - HALF_WIDTH) / FADE, 0, 1);
    }

    private static double length(float[] p, int i, int j) {
        double x = (double) p[i] - p[j], y = (double) p[i + 1] - p[j + 1], z = (double) p[i + 2] - p[j + 2];
        return Math.sqrt(x * x + y * y + z * z);
    }

    private static double doubleArea(float[] p, int a, int b, int c) {
        double ux = (double) p[b] - p[a], uy = (double) p[b + 1] - p[a + 1], uz = (double) p[b + 2] - p[a + 2];
        double vx = (double) p[c] - p[a], vy = (double) p[c + 1] - p[a + 1], vz = (double) p[c + 2] - p[a + 2];
        double x = uy * vz - uz * vy, y = uz * vx - ux * vz, z = ux * vy - uy * vx;
        return Math.sqrt(x * x + y * y + z * z);
    }
}
