package org.estampage.examples.editor.drawing;

import org.estampage.image.Encoding;

/** Colours as pictures hold them, and as light adds up: linear, 0 … 1. */
final class Tones {
    private static final Encoding COLOUR = Encoding.colour(3);
    private static final int STEPS = 4096;
    /** The stored byte of each of so many steps of light. */
    private static final byte[] STORED = stored();
    /** The light of each stored byte. */
    private static final double[] LIGHT = light();

    private Tones() {
    }

    private static byte[] stored() {
        byte[] table = new byte[STEPS + 1];
        for (int i = 0; i <= STEPS; i++) {
            table[i] = (byte) COLOUR.quantise(0, (float) i / STEPS, 8);
        }
        return table;
    }

    private static double[] light() {
        double[] table = new double[256];
        for (int i = 0; i < table.length; i++) {
            table[i] = COLOUR.raw(0, i / 255f);
        }
        return table;
    }

    /** Returns the pixel of a linear colour. */
    static int packed(double[] rgb) {
        int pixel = 0;
        for (int k = 0; k < 3; k++) {
            pixel = (pixel << 8) | (STORED[(int) (Math.clamp(rgb[k], 0, 1) * STEPS + 0.5)] & 0xFF);
        }
        return pixel;
    }

    /** Returns the light of a channel of a pixel: 0 is red. */
    static double light(int pixel, int channel) {
        return LIGHT[(pixel >> (16 - 8 * channel)) & 0xFF];
    }

    /** Lays a colour over another. */
    static void blend(double[] inoutRgb, int over, double cover) {
        for (int k = 0; k < 3; k++) {
            inoutRgb[k] += cover * (light(over, k) - inoutRgb[k]);
        }
    }

    /** Writes a colour between two. */
    static void mix(int from, int to, double part, double[] dest) {
        for (int k = 0; k < 3; k++) {
            dest[k] = light(from, k) + part * (light(to, k) - light(from, k));
        }
    }
}
