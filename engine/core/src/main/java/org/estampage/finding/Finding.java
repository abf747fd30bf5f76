package org.estampage.finding;

import java.util.List;
import java.util.Objects;

/**
 * One kind of thing that was noticed, with how often and where.
 *
 * <p>Read by a caller:
 * {@snippet class = "org.estampage.cookbook.CookbookTest" region = "findings"}
 *
 * @param kind     a stable lower-case name with hyphens, such as {@code overlapping-uvs}
 * @param severity how much it matters
 * @param count    how often it was seen; at least 1
 * @param message  one sentence: what was found
 * @param remedy   one sentence: what to do about it
 * @param places   some of the places, at most {@value #MAX_PLACES}, the first ones found
 * @threads immutable
 */
public record Finding(String kind, Severity severity, long count, String message, String remedy, List<Place> places) {
    /** The most places that a finding keeps. */
    public static final int MAX_PLACES = 16;

    /**
     * Checks the parts and copies the list.
     *
     * @throws IllegalArgumentException if {@code count} is below 1
     */
    public Finding {
        Objects.requireNonNull(kind, "kind");
        Objects.requireNonNull(severity, "severity");
        Objects.requireNonNull(message, "message");
        Objects.requireNonNull(remedy, "remedy");
        if (count < 1) {
            throw new IllegalArgumentException("count = " + count + " must be at least 1");
        }
        places = List.copyOf(places.size() > MAX_PLACES ? places.subList(0, MAX_PLACES) : places);
    }

    /** Returns a note. */
    public static Finding note(String kind, long count, String message, String remedy, List<Place> places) {
        return new Finding(kind, Severity.NOTE, count, message, remedy, places);
    }

    /** Returns a warning. */
    public static Finding warning(String kind, long count, String message, String remedy, List<Place> places) {
        return new Finding(kind, Severity.WARNING, count, message, remedy, places);
    }

    /** Returns an error. */
    public static Finding error(String kind, long count, String message, String remedy, List<Place> places) {
        return new Finding(kind, Severity.ERROR, count, message, remedy, places);
    }

    @Override
    public String toString() {
        StringBuilder text = new StringBuilder();
        text.append(severity.name().toLowerCase(java.util.Locale.ROOT)).append(": ").append(message);
        if (!places.isEmpty()) {
            text.append(" (").append(places.get(0));
            if (count > 1) {
                text.append(", …");
            }
            text.append(')');
        }
        return text.append(" → ").append(remedy).toString();
    }
}
