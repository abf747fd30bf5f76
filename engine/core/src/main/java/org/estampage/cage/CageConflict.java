package org.estampage.cage;

import java.util.Objects;

/**
 * One place where a cage and a high poly are in conflict: what was left out of the cage, or meets it.
 *
 * @param kind          what it is
 * @param highElement   number of the high poly's vertex ({@link Kind#OUTSIDE}) or triangle ({@link Kind#CROSSING}); of several high polys, as if they
 *                      stood in one mesh one after the other; −1 for a point on a large high-poly triangle that stands outside between its corners
 * @param cageTriangle  number of the low-poly triangle under the cage there
 * @param x             first coordinate of the point that sticks out farthest, in object space
 * @param y             second coordinate
 * @param z             third coordinate
 * @param missing       how much higher the cage would have to be there, in mesh units; at least 0, which a touch has
 * @threads immutable
 */
public record CageConflict(Kind kind, int highElement, int cageTriangle, float x, float y, float z, float missing) {
    /** What is in conflict. */
    public enum Kind {
        /** A high-poly vertex stands outside the cage. */
        OUTSIDE,
        /** A high-poly triangle meets a cage triangle. */
        CROSSING
    }

    /** Checks that there is a kind. */
    public CageConflict {
        Objects.requireNonNull(kind, "kind");
    }
}
