package org.estampage.testresources;

import static org.estampage.testresources.Noise.step;

/**
 * The detail of a fluted column: flutes on the shaft, beads on the rings, a fine grain everywhere.
 *
 * @threads stateless
 */
final class ColumnCarving implements TurnedMesh.Carving {
    static final TurnedProfile OUTLINE = new TurnedProfile(0, 0, 0, //
            0.62, 0, 0.02, //
            0.62, 0.18, 0.06, //
            0.45, 0.30, 0.08, //
            0.40, 3.60, 0.10, //
            0.58, 3.80, 0.05, //
            0.58, 4.00, 0.02, //
            0, 4.00, 0);
    private static final int FLUTES = 24;
    private static final int BEADS = 60;

    ColumnCarving() {
    }

    @Override
    public double edgeScale(double s) {
        return 1;
    }

    @Override
    public void carve(double s, double angle, double[] outline, double x, double z, double[] dest) {
        double y = outline[1];
        double flute = angle * FLUTES / (2 * Math.PI);
        double across = 2 * (flute - Math.floor(flute)) - 1;
        double height = -0.022 * step(0.40, 0.46, y) * step(3.52, 3.46, y) * Math.max(0, 1 - 1.3 * across * across);
        double bead = angle * BEADS / (2 * Math.PI);
        double along = 2 * (bead - Math.floor(bead)) - 1;
        double up = (Math.abs(y - 2) - 1.90) / 0.022;
        if (outline[0] > 0.5) {
            height += 0.02 * Math.max(0, 1 - along * along - up * up);
        }
        height += 0.0025 * Noise.sum(9 * x, 9 * y, 9 * z, 5, 4);
        dest[0] = height;
        dest[1] = 0.7;
        dest[2] = 0.68;
        dest[3] = 0.62;
    }
}
