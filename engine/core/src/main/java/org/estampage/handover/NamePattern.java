package org.estampage.handover;

import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

/**
 * How files of a delivery are called: a text with places for what differs, {@code {asset}-{map}.{tile}}, without the ending. Folders may stand in it,
 * below the one that is written to.
 *
 * @param text with {@code {asset}}, {@code {set}}, {@code {map}} and {@code {tile}}, as needed
 * @threads immutable
 */
public record NamePattern(String text) {
    private static final List<String> PLACES = List.of("asset", "set", "map", "tile");
    private static final Pattern PLACE = Pattern.compile("\\{([^{}]*)\\}");

    /**
     * Checks the text.
     *
     * @throws IllegalArgumentException if a place is unknown, a brace is left over, or the names could lie outside the folder
     */
    public NamePattern {
        Objects.requireNonNull(text, "text");
        Matcher matcher = PLACE.matcher(text);
        while (matcher.find()) {
            if (!PLACES.contains(matcher.group(1))) {
                throw new IllegalArgumentException(
                        "names = \"" + text + "\" has a place {" + matcher.group(1) + "}; there are {asset}, {set}, {map}, {tile}");
            }
        }
        String rest = matcher.replaceAll("x");
        boolean bad = rest.isBlank() || rest.indexOf('{') >= 0 || rest.indexOf('}') >= 0 || rest.indexOf('\\') >= 0 || rest.startsWith("/")
                || rest.endsWith("/")
                || List.of(rest.split("/", -1)).stream().anyMatch(part -> part.isBlank() || part.equals(".") || part.equals(".."));
        if (bad) {
            throw new IllegalArgumentException("names = \"" + text
                    + "\" must be names below the folder that is written to, with {asset}, {set}, {map}, {tile} where they differ");
        }
    }

    /** Returns whether names differ by that place. */
    boolean has(String place) {
        return text.contains("{" + place + "}");
    }

    /** Returns a name. */
    String name(Map<String, String> values) {
        return PLACE.matcher(text).replaceAll(match -> Matcher.quoteReplacement(Objects.requireNonNull(values.get(match.group(1)))));
    }

    /** Returns the places of {@code wanted} that are missing here. */
    List<String> missing(List<String> wanted) {
        List<String> missing = new ArrayList<>(wanted);
        missing.removeIf(this::has);
        return missing;
    }
}
