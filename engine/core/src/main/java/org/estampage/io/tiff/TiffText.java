package org.estampage.io.tiff;

import java.util.LinkedHashMap;
import java.util.Map;

/**
 * Texts by keyword in the one description that a TIFF file has: a line each, {@code keyword: text}; a text's further lines are indented by a tab.
 *
 * @threads stateless
 */
final class TiffText {
    /** The keyword whose text has a tag of its own. */
    static final String SOFTWARE = "Software";

    /** The keyword of a description that is not such lines. */
    private static final String WHOLE = "Description";

    private static final String SEPARATOR = ": ";

    private TiffText() {
    }

    static void check(Map<String, String> texts) {
        texts.forEach((keyword, text) -> {
            if (keyword.isBlank() || keyword.contains(":") || keyword.codePoints().anyMatch(Character::isISOControl)) {
                throw new IllegalArgumentException("keyword \"" + keyword + "\" must be a word or some, without colon and line break");
            }
            if (text.indexOf('\0') >= 0 || text.indexOf('\r') >= 0) {
                throw new IllegalArgumentException("the text of " + keyword + " must be without the characters 0 and carriage return");
            }
        });
    }

    static String joined(Map<String, String> texts) {
        StringBuilder joined = new StringBuilder();
        texts.forEach((keyword, text) -> joined.append(keyword).append(SEPARATOR).append(text.replace("\n", "\n\t")).append('\n'));
        return joined.toString();
    }

    /** Returns the texts of a description, in its order. */
    static Map<String, String> split(String description) {
        Map<String, String> texts = new LinkedHashMap<>();
        String keyword = "";
        String body = description.endsWith("\n") ? description.substring(0, description.length() - 1) : description;
        for (String line : body.split("\n", -1)) {
            int colon = line.indexOf(SEPARATOR);
            if (line.startsWith("\t") && !keyword.isEmpty()) {
                texts.merge(keyword, line.substring(1), (before, more) -> before + "\n" + more);
            } else if (colon > 0) {
                keyword = line.substring(0, colon);
                texts.put(keyword, line.substring(colon + SEPARATOR.length()));
            } else {
                return description.isBlank() ? Map.of() : Map.of(WHOLE, description);
            }
        }
        return texts;
    }
}
