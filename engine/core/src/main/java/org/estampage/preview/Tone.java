package org.estampage.preview;

/**
 * Brings radiance into 0 … 1: unchanged up to a shoulder, above it along a hyperbola that leaves with the same slope and comes close to 1; hue and saturation
 * stay.
 *
 * @source our own; the hyperbola is that of Reinhard et al., Photographic Tone Reproduction for Digital Images, 2002, equation 3, begun at the shoulder
 */
final class Tone {
    private static final double SHOULDER = 0.6;

    private Tone() {
    }

    /** Changes a colour in place. */
    static void bend(double[] inoutColour) {
        double most = Math.max(inoutColour[0], Math.max(inoutColour[1], inoutColour[2]));
        if (most > SHOULDER) {
            double beyond = (most - SHOULDER) / (1 - SHOULDER), bent = SHOULDER + (1 - SHOULDER) * beyond / (1 + beyond);
            for (int k = 0; k < 3; k++) {
                inoutColour[k] *= bent / most;
            }
        }
    }
}
