package org.estampage.bake;

import java.util.ArrayList;
import java.util.Collection;
import java.util.LinkedHashMap;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Map;
import java.util.Set;
import org.estampage.finding.Finding;
import org.estampage.finding.Findings;

/**
 * What a bake notices: of the job as a whole, and of each map, so that maps of several bakes can be put together with what is to be said of them.
 *
 * @threads confined while it is filled
 */
final class Noticed {
    private final List<Finding> ofJob = new ArrayList<>();
    private final Map<String, List<Finding>> ofMaps = new LinkedHashMap<>();

    /** Returns the list of what is to be said of the job, to be filled. */
    List<Finding> ofJob() {
        return ofJob;
    }

    /** Returns the list of what is to be said of a map, to be filled. */
    List<Finding> ofMap(String map) {
        return ofMaps.computeIfAbsent(map, name -> new ArrayList<>());
    }

    /** Returns what there is to say of a map. */
    List<Finding> saidOf(String map) {
        return ofMaps.getOrDefault(map, List.of());
    }

    /** Takes a map's findings from elsewhere. */
    void take(String map, Collection<Finding> findings) {
        ofMap(map).addAll(findings);
    }

    /** Returns everything: first of the job, then map by map what was not said of another map before. */
    Findings all() {
        Set<Finding> seen = new LinkedHashSet<>();
        ofMaps.values().forEach(seen::addAll);
        return Findings.of(ofJob).with(seen);
    }
}
