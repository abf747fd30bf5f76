package org.estampage.lowpoly;

import org.estampage.mesh.Bounds;
import org.estampage.mesh.FacetNormals;
import org.estampage.mesh.Mesh;

/**
 * Where decimation works: about the middle of the mesh's box, in units of the square root of its surface, so that thresholds mean the same for any scale
 * and the way a mesh lies doesn't matter.
 *
 * @threads immutable
 */
final class Frame {
    private final double centreX;
    private final double centreY;
    private final double centreZ;
    private final double unit;

    private Frame(double centreX, double centreY, double centreZ, double unit) {
        this.centreX = centreX;
        this.centreY = centreY;
        this.centreZ = centreZ;
        this.unit = unit;
    }

    static Frame of(Mesh mesh) {
        Bounds b = mesh.bounds();
        double area = 0;
        for (double a : FacetNormals.areas(mesh)) {
            area += a;
        }
        double unit = Math.sqrt(area);
        if (!(unit > 0)) {
            unit = b.diagonal() > 0 ? b.diagonal() : 1;
        }
        double[] middle = b.middle();
        return new Frame(middle[0], middle[1], middle[2], unit);
    }

    /** Returns mesh units a unit here. */
    double unit() {
        return unit;
    }

    double[] inside(float[] xyz) {
        double[] out = new double[xyz.length];
        for (int i = 0; i < xyz.length; i += 3) {
            out[i] = (xyz[i] - centreX) / unit;
            out[i + 1] = (xyz[i + 1] - centreY) / unit;
            out[i + 2] = (xyz[i + 2] - centreZ) / unit;
        }
        return out;
    }

    /** Writes a vertex in mesh units; one that never moved has the bits it came with. */
    void outside(double[] position, int v, float[] original, int was, float[] dest, int at) {
        int i = 3 * v, o = 3 * was;
        boolean stayed = position[i] == (original[o] - centreX) / unit && position[i + 1] == (original[o + 1] - centreY) / unit
                && position[i + 2] == (original[o + 2] - centreZ) / unit;
        dest[3 * at] = stayed ? original[o] : (float) (position[i] * unit + centreX);
        dest[3 * at + 1] = stayed ? original[o + 1] : (float) (position[i + 1] * unit + centreY);
        dest[3 * at + 2] = stayed ? original[o + 2] : (float) (position[i + 2] * unit + centreZ);
    }
}
