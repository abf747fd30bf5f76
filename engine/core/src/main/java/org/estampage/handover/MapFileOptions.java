package org.estampage.handover;

/**
 * How maps become files.
 *
 * @param bits      8 or 16 for all maps; 0 for each map's usual depth
 * @param greenDown whether tangent-space normals are stored with green against +Y, whatever the map said
 * @threads immutable
 */
public record MapFileOptions(int bits, boolean greenDown) {
    /** Each map's usual depth, green as the map says. */
    public static final MapFileOptions USUAL = new MapFileOptions(0, false);

    /**
     * Checks the depth.
     *
     * @throws IllegalArgumentException if {@code bits} is neither 0, 8 nor 16
     */
    public MapFileOptions {
        if (bits != 0 && bits != 8 && bits != 16) {
            throw new IllegalArgumentException("bits = " + bits + " must be 8 or 16, or 0 for the usual depth");
        }
    }

    /** Returns these options with another depth. */
    public MapFileOptions withBits(int value) {
        return new MapFileOptions(value, greenDown);
    }

    /** Returns these options with green down. */
    public MapFileOptions withGreenDown() {
        return new MapFileOptions(bits, true);
    }
}
