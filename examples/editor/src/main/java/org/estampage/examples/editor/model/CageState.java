package org.estampage.examples.editor.model;

import java.util.List;
import org.estampage.cage.CageConflict;
import org.estampage.finding.Findings;
import org.jspecify.annotations.Nullable;

/**
 * The cage that there is, and what is known of it.
 *
 * @param shape     the cage; null before there is one
 * @param phase     what is known
 * @param conflicts where a high poly and the cage are in conflict, once it is {@link Phase#CHECKED}
 * @param findings  what was noticed
 * @param about     what else to tell of it: why there is none; empty otherwise
 */
public record CageState(@Nullable CageShape shape, Phase phase, List<CageConflict> conflicts, Findings findings, String about) {
    /** How much is known of a cage. */
    public enum Phase {
        /** There is no cage, for the reason that {@link CageState#about} gives. */
        NONE,
        /** The engine makes one. */
        MAKING,
        /** It is there; whether it holds the high polys is being looked at. */
        CHECKING,
        /** All is known. */
        CHECKED
    }

    /** Copies the list. */
    public CageState {
        conflicts = List.copyOf(conflicts);
    }

    /** Returns that there is no cage, and why. */
    static CageState none(String about) {
        return new CageState(null, Phase.NONE, List.of(), Findings.none(), about);
    }

    /** Returns how many high-poly vertices stand out. */
    public long outsideCount() {
        return count(CageConflict.Kind.OUTSIDE);
    }

    /** Returns how many high-poly triangles meet the cage. */
    public long crossingCount() {
        return count(CageConflict.Kind.CROSSING);
    }

    private long count(CageConflict.Kind kind) {
        return conflicts.stream().filter(conflict -> conflict.kind() == kind).count();
    }
}
