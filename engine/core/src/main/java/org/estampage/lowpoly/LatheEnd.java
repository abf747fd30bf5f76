package org.estampage.lowpoly;

/** How an end of a turned low poly is made. */
public enum LatheEnd {
    /** A border: nothing closes the end. */
    OPEN,
    /** The outline runs to a point on the axis, smoothly: for domes and tips. */
    CLOSED,
    /** A flat disc with a hard edge: for what stands on the ground or was cut off. */
    CAPPED
}
