package org.estampage.mesh;

/** A coordinate axis. */
public enum Axis {
    /** The first axis. */
    X,
    /** The second axis. */
    Y,
    /** The third axis. */
    Z;

    /** Returns the place of the axis' coordinate among x, y, z: 0, 1 or 2. */
    public int component() {
        return switch (this) {
            case X -> 0;
            case Y -> 1;
            case Z -> 2;
        };
    }
}
