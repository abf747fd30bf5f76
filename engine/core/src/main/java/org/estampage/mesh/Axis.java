package org.estampage.mesh;

/** A coordinate axis. */
public enum Axis {
    /** The first axis. */
    X,
    /** The second axis. */
    Y,
    /** The third axis. */
    Z
}
