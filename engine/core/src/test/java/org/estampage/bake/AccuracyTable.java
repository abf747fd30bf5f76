package org.estampage.bake;

import java.util.ArrayList;
import java.util.List;
import java.util.Locale;

/** Rows of checks: what a map should give, what it gives, and where the value comes from. */
final class AccuracyTable {
    /**
     * A check.
     *
     * @param fetched whether it needs a mesh that is fetched, and so may be left out
     * @param bound   whether no value is published, only how large it may be
     */
    record Row(String map, String check, double published, double ours, double allowed, String source, boolean fetched,
            boolean bound) {
        /** Returns how far off it is; of a value that is only bounded, the value. */
        double error() {
            return Math.abs(ours - published);
        }

        /** Returns the line of the table; rounded, so that it does not hang on the last bits. */
        String line() {
            return "| " + String.join(" | ", map, check, bound ? "≤ " + number(allowed) : number(published), number(ours), small(error()),
                    small(allowed), source) + " |";
        }

        private static String small(double value) {
            return value == 0 ? "0" : value < 1e-6 ? "< 1e-6" : String.format(Locale.ROOT, "%.1e", value);
        }

        private static String number(double value) {
            return value == Math.rint(value) && Math.abs(value) < 1e9
                    ? String.format(Locale.ROOT, "%.0f", value + 0.0)
                    : String.format(Locale.ROOT, "%.6f", value);
        }
    }

    private static final String HEAD = "| map | check | published value | ours | error | allowed | source |";
    private static final String RULE = "|---|---|---|---|---|---|---|";

    private final List<Row> rows = new ArrayList<>();
    private String map = "";
    private String source = "";
    private boolean fetched;

    /** Starts the rows of a map whose values have one source. */
    AccuracyTable of(String newMap, String newSource) {
        map = newMap;
        source = newSource;
        fetched = false;
        return this;
    }

    /** Says that the rows that follow need a fetched mesh. */
    AccuracyTable fetched() {
        fetched = true;
        return this;
    }

    AccuracyTable row(String check, double published, double ours, double allowed) {
        rows.add(new Row(map, check, published, ours, allowed, source, fetched, false));
        return this;
    }

    /** Adds a value for which there is a bound in place of a published value. */
    AccuracyTable atMost(String check, double ours, double bound) {
        rows.add(new Row(map, check, 0, ours, bound, source, fetched, true));
        return this;
    }

    List<Row> rows() {
        return List.copyOf(rows);
    }

    /** Returns the file, with an introduction above the table. */
    String text(String introduction) {
        StringBuilder text = new StringBuilder(introduction).append(HEAD).append('\n').append(RULE).append('\n');
        rows.forEach(row -> text.append(row.line()).append('\n'));
        return text.toString();
    }

    /** Returns a text without the lines of rows that need fetched meshes: all but them can be compared where those are missing. */
    static List<String> withoutFetched(String text) {
        return text.lines().filter(line -> !line.contains("elephant")).toList();
    }
}
