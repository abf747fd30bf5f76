package org.estampage.io.shared;

import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import org.estampage.finding.Finding;
import org.estampage.finding.Place;
import org.estampage.finding.Severity;

/**
 * Counts what is noticed while a file is read or written: one finding a kind and message, in the order of first notice.
 *
 * @threads confined to one thread at a time
 */
public final class Notices {
    private final Map<String, Notice> notices = new LinkedHashMap<>();

    private static final class Notice {
        final String kind;
        final Severity severity;
        final String message;
        final String remedy;
        final List<Place> places = new ArrayList<>();
        long count;

        Notice(String kind, Severity severity, String message, String remedy) {
            this.kind = kind;
            this.severity = severity;
            this.message = message;
            this.remedy = remedy;
        }
    }

    /** Makes an empty list. */
    public Notices() {
    }

    /**
     * Notes one thing more.
     *
     * @param message what was found; {@code {count}} in it becomes the number
     */
    public void note(String kind, String message, String remedy, Place... places) {
        add(Severity.NOTE, kind, 1, message, remedy, places);
    }

    /**
     * Warns of one thing more.
     *
     * @param message what was found; {@code {count}} in it becomes the number
     */
    public void warn(String kind, String message, String remedy, Place... places) {
        add(Severity.WARNING, kind, 1, message, remedy, places);
    }

    /** Counts {@code count} things more of a kind and message; the remedy of the first time holds. */
    public void add(Severity severity, String kind, long count, String message, String remedy, Place... places) {
        Notice notice = notices.computeIfAbsent(kind + '\n' + message, k -> new Notice(kind, severity, message, remedy));
        notice.count += count;
        for (Place place : places) {
            if (notice.places.size() < Finding.MAX_PLACES) {
                notice.places.add(place);
            }
        }
    }

    /** Counts the values that are not finite, under the kind {@code not-finite}; {@code what} is the plural, {@code element} the singular. */
    public void checkFinite(String what, String element, float[] values, int components) {
        long count = 0;
        for (int i = 0; i < values.length; i += components) {
            boolean finite = true;
            for (int k = 0; k < components; k++) {
                finite &= Float.isFinite(values[i + k]);
            }
            if (!finite) {
                count++;
                Place place = new Place.Element(element, i / components);
                add(Severity.WARNING, "not-finite", 1, "{count} " + what + " are not finite numbers",
                        "repair the file they came from", count <= Finding.MAX_PLACES ? new Place[] {place} : new Place[0]);
            }
        }
    }

    /** Returns the findings. */
    public List<Finding> findings() {
        List<Finding> list = new ArrayList<>();
        notices.values().forEach(n -> list.add(
                new Finding(n.kind, n.severity, n.count, n.message.replace("{count}", Long.toString(n.count)), n.remedy, n.places)));
        return list;
    }
}
