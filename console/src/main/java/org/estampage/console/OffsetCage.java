package org.estampage.console;

import org.estampage.cage.Cage;
import org.estampage.mesh.MeshSource;

/**
 * A cage that waits for its distance.
 *
 * @param low the low poly
 */
public record OffsetCage(MeshSource low) {
    /** Returns the cage at a distance, in mesh units. */
    public Cage offset(double distance) {
        return Cage.offset(low, distance);
    }

    /** Returns the cage at a distance that stands in a channel of a colour set, 0 to 1, times a length. */
    public Cage offset(String colourSet, int channel, double length) {
        return Cage.offset(low, colourSet, channel, length);
    }
}
