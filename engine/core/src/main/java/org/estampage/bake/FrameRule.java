package org.estampage.bake;

/** How the tangent frame of a sample comes from the frames of its triangle's corners. Whoever shades the map must use the same rule. */
public enum FrameRule {
    /** Normal and tangent as interpolated, bitangent = w · (normal × tangent); nothing is normalised. */
    AS_INTERPOLATED,
    /** Normal and tangent interpolated and brought to unit length, then the bitangent from them. */
    RENORMALISED,
    /** Normal, tangent and the corners' bitangents interpolated; nothing is normalised. */
    BITANGENT_INTERPOLATED
}
