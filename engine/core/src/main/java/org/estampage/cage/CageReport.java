package org.estampage.cage;

import java.util.List;
import org.estampage.finding.Findings;

/**
 * What {@link CageCheck} found out about a cage.
 *
 * @param findings  one finding a kind, with counts and the first few places
 * @param conflicts every place where cage and high poly are in conflict: vertices outside by number, then crossings by number
 * @threads immutable
 */
public record CageReport(Findings findings, List<CageConflict> conflicts) {
    /** Copies the list. */
    public CageReport {
        conflicts = List.copyOf(conflicts);
    }
}
