package org.estampage.finding;

import java.util.ArrayList;
import java.util.List;

/**
 * How often something was seen, and where first.
 *
 * @threads confined
 */
public final class Tally {
    private final List<Place> places = new ArrayList<>();
    private long count;

    /** Starts at nothing. */
    public Tally() {
    }

    /** Counts one. */
    public void add(Place place) {
        if (wantsPlace()) {
            places.add(place);
        }
        count++;
    }

    /** Counts several that need no place of their own. */
    public void addMore(long more) {
        count += more;
    }

    /** Returns whether the place of another one would be kept; where it would not, there is no need to work it out. */
    public boolean wantsPlace() {
        return places.size() < Finding.MAX_PLACES;
    }

    /** Returns whether nothing was counted. */
    public boolean isEmpty() {
        return count == 0;
    }

    /** Returns how many were counted. */
    public long count() {
        return count;
    }

    /** Returns where the first ones are. */
    public List<Place> places() {
        return List.copyOf(places);
    }
}
