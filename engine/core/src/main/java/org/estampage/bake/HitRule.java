package org.estampage.bake;

/** Which hit of a ray counts. */
public enum HitRule {
    /** The first front face from the cage inwards. */
    FIRST_FRONT_FACE,
    /** The first face from the cage inwards, whichever side it shows. */
    FIRST_FACE,
    /** The front face nearest to the low poly, inside or outside. */
    NEAREST_FRONT_FACE,
    /** The face nearest to the low poly, whichever side it shows. */
    NEAREST_FACE;

    boolean nearest() {
        return this == NEAREST_FRONT_FACE || this == NEAREST_FACE;
    }

    boolean bothSides() {
        return this == FIRST_FACE || this == NEAREST_FACE;
    }
}
