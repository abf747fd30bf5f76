package org.estampage.bake;

import java.util.ArrayList;
import java.util.List;
import org.estampage.finding.Finding;
import org.estampage.finding.Place;

/**
 * How often something was seen, and where first.
 *
 * @threads confined
 */
final class Tally {
    private long count;
    private final List<Place> places = new ArrayList<>();

    void add(Place place) {
        count++;
        if (places.size() < Finding.MAX_PLACES) {
            places.add(place);
        }
    }

    long count() {
        return count;
    }

    List<Place> places() {
        return places;
    }
}
