package org.estampage.preview;

import org.estampage.mesh.Axis;

/**
 * A key light, a fill light and a sky.
 *
 * <p>The sky's radiance is {@code skyMiddle + skySlope · (direction · vertical)}: linear in the direction, so that what a face receives is exact without
 * sampling.
 *
 * @param key       unit direction towards the key light
 * @param keyCone   degrees from its middle to its rim, which blurs its shadows
 * @param keyLight  radiance of a white matt face that looks at it
 * @param fill      unit direction towards the fill light, which throws no shadows
 * @param fillLight as for the key light
 * @param vertical  unit direction towards the zenith
 * @param skyMiddle radiance at the horizon
 * @param skySlope  how much more it is at the zenith
 * @threads immutable
 */
record Lights(Vector key, double keyCone, double keyLight, Vector fill, double fillLight, Vector vertical, double skyMiddle,
        double skySlope) {
    /**
     * Returns lights that stand still beside the viewer.
     *
     * @param azimuth   of the key light, degrees to the viewer's right
     * @param elevation of the key light, degrees above the viewer
     */
    static Lights beside(Aim aim, Axis vertical, double azimuth, double elevation) {
        double a = StrictMath.toRadians(azimuth), e = StrictMath.toRadians(elevation);
        Vector key = aim.seen(StrictMath.sin(a) * StrictMath.cos(e), StrictMath.sin(e), StrictMath.cos(a) * StrictMath.cos(e));
        // The fill light comes from the other side, low.
        double side = azimuth > 0 ? -1 : 1;
        Vector fill = aim.seen(0.85 * side, 0.1, 0.5).unit();
        Vector up = switch (vertical) {
            case X -> new Vector(1, 0, 0);
            case Y -> new Vector(0, 1, 0);
            case Z -> new Vector(0, 0, 1);
        };
        return new Lights(key, 4, 1.05, fill, 0.16, up, 0.25, 0.17);
    }

    /** Returns what a white matt face sends out under the open sky: the mean radiance over the hemisphere by the cosine. */
    double skyOn(double nx, double ny, double nz) {
        return skyMiddle + skySlope * 2 / 3 * vertical.dot(nx, ny, nz);
    }

    /**
     * Returns the sky's mean radiance over a lobe of a rough mirror.
     *
     * @param part how long the lobe's mean direction is: 1 for a perfect mirror
     */
    double skyMirrored(double x, double y, double z, double part) {
        return skyMiddle + skySlope * part * vertical.dot(x, y, z);
    }
}
