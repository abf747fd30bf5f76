package org.estampage.lowpoly;

import org.estampage.mesh.Bounds;
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
        float[] p = mesh.positions();
        int[] i = mesh.positionIndices();
        double area = 0;
        for (int c = 0; c < i.length; c += 3) {
            int u = 3 * i[c], v = 3 * i[c + 1], w = 3 * i[c + 2];
            double ex = (double) p[v] - p[u], ey = (double) p[v + 1] - p[u + 1], ez = (double) p[v + 2] - p[u + 2];
            double fx = (double) p[w] - p[u], fy = (double) p[w + 1] - p[u + 1], fz = (double) p[w + 2] - p[u + 2];
            double nx = ey * fz - ez * fy, ny = ez * fx - ex * fz, nz = ex * fy - ey * fx;
            area += Math.sqrt(nx * nx + ny * ny + nz * nz) / 2;
        }
        double unit = Math.sqrt(area);
        if (!(unit > 0)) {
            unit = b.diagonal() > 0 ? b.diagonal() : 1;
        }
        return new Frame(((double) b.minX() + b.maxX()) / 2, ((double) b.minY() + b.maxY()) / 2, ((double) b.minZ() + b.maxZ()) / 2, unit);
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
