package org.estampage.session;

import java.nio.file.Files;
import java.nio.file.InvalidPathException;
import java.nio.file.Path;
import java.util.Collections;
import java.util.LinkedHashMap;
import java.util.Locale;
import java.util.Map;
import java.util.function.Function;

/**
 * One of a set: its name, and what its row of the table says of it. A column's value is asked for as what it is to be; the error names row and column.
 *
 * @threads immutable
 */
public final class Asset {
    private final String name;
    private final String where;
    private final Path folder;
    private final Map<String, String> columns;

    Asset(String name, String where, Path folder, Map<String, String> columns) {
        this.name = name;
        this.where = where;
        this.folder = folder;
        this.columns = Collections.unmodifiableMap(new LinkedHashMap<>(columns));
    }

    /** Returns the name. */
    public String name() {
        return name;
    }

    /** Returns all columns by their names, as text. */
    public Map<String, String> columns() {
        return columns;
    }

    /** Returns whether a column is there and holds something. */
    public boolean has(String column) {
        return !columns.getOrDefault(column, "").isBlank();
    }

    /**
     * Returns a column's text.
     *
     * @throws IllegalArgumentException if there is nothing in it, or no such column; the message names those that there are
     */
    public String text(String column) {
        if (!has(column)) {
            throw new IllegalArgumentException(where + ": column \"" + column + "\" "
                    + (columns.containsKey(column) ? "is empty" : "is not there; there are " + columns.keySet()));
        }
        return columns.getOrDefault(column, "").strip();
    }

    /** Returns a column's text, or another one where there is none. */
    public String text(String column, String otherwise) {
        return has(column) ? text(column) : otherwise;
    }

    /**
     * Returns a column's whole number.
     *
     * @throws IllegalArgumentException if it holds none
     */
    public int whole(String column) {
        return parsed(column, "a whole number", text -> Integer.valueOf(text.replace("_", "")));
    }

    /** Returns a column's whole number, or another one where it is empty. */
    public int whole(String column, int otherwise) {
        return has(column) ? whole(column) : otherwise;
    }

    /**
     * Returns a column's number.
     *
     * @throws IllegalArgumentException if it holds none
     */
    public double number(String column) {
        return parsed(column, "a number", Double::valueOf);
    }

    /** Returns a column's number, or another one where it is empty. */
    public double number(String column, double otherwise) {
        return has(column) ? number(column) : otherwise;
    }

    /**
     * Returns whether a column says yes or true; no or false is neither.
     *
     * @throws IllegalArgumentException if it says anything else
     */
    public boolean flag(String column) {
        return switch (text(column).toLowerCase(Locale.ROOT)) {
            case "true", "yes" -> true;
            case "false", "no" -> false;
            default -> throw wrong(column, "yes or no");
        };
    }

    /** Returns what a column says, or another answer where it is empty. */
    public boolean flag(String column, boolean otherwise) {
        return has(column) ? flag(column) : otherwise;
    }

    /**
     * Returns the path of a file that a column names, beside the table or in the set's folder; text for {@code load}.
     *
     * @throws IllegalArgumentException if there is no such file
     */
    public String file(String column) {
        Path path = parsed(column, "a file's name", folder::resolve);
        if (!Files.isRegularFile(path)) {
            throw wrong(column, "a file in " + folder + " or below");
        }
        return path.toString();
    }

    /** Returns the path of the low poly's file, of the column {@code low}. */
    public String low() {
        return file("low");
    }

    /** Returns the path of the high poly's file, of the column {@code high}. */
    public String high() {
        return file("high");
    }

    private <T> T parsed(String column, String what, Function<String, T> parse) {
        try {
            return parse.apply(text(column));
        } catch (NumberFormatException | InvalidPathException e) {
            IllegalArgumentException wrong = wrong(column, what);
            wrong.initCause(e);
            throw wrong;
        }
    }

    private IllegalArgumentException wrong(String column, String wanted) {
        return new IllegalArgumentException(where + ": column \"" + column + "\" holds \"" + text(column) + "\", must be " + wanted);
    }

    Path folder() {
        return folder;
    }

    @Override
    public String toString() {
        return name;
    }
}
