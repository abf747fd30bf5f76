package org.estampage.bake;

/** Which samples a texel's mean is made of. */
public enum TexelFilter {
    /** The texel's own, all alike. */
    BOX,
    /**
     * Those within a texel's width of its centre along both axes, each the less the farther off it is: a tent two texels wide. It is softer. A lookup with
     * filtering is such a tent already, and a second one blurs; so this is for maps that are read texel by texel.
     *
     * <p>A neighbour counts if it and the texel opposite to it lie wholly on the same chart and hit with all their samples, so slopes stay exact up to a
     * chart's border. A texel that is not such a whole one itself keeps its own samples. Identifiers and coverage always do.
     */
    TENT
}
