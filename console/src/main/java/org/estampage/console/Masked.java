package org.estampage.console;

import java.util.regex.Matcher;
import java.util.regex.Pattern;

/** Looks at Java text without its comments and literals. */
final class Masked {
    private Masked() {
    }

    /** Returns a text of the same length with spaces in place of comments, strings, text blocks and characters; line ends stay. */
    static String of(String text) {
        StringBuilder masked = new StringBuilder(text);
        int i = 0;
        while (i < text.length()) {
            int end = end(text, i);
            if (end == i) {
                i++;
                continue;
            }
            for (; i < end; i++) {
                if (text.charAt(i) != '\n' && text.charAt(i) != '\r') {
                    masked.setCharAt(i, ' ');
                }
            }
        }
        return masked.toString();
    }

    /** Returns where the comment or literal begins that is still open at a text's end; −1 if none is. */
    static int open(String text) {
        String longer = text + "x"; // belongs to what is open, and to nothing that is closed
        int i = 0;
        while (i < text.length()) {
            int end = end(longer, i);
            if (end > text.length()) {
                return i;
            }
            i = Math.max(end, i + 1);
        }
        return -1;
    }

    /** Returns where the comment or literal that starts at {@code i} ends; {@code i} if none does. */
    static int end(String text, int i) {
        if (text.startsWith("//", i)) {
            return before(text, "\n", i);
        }
        if (text.startsWith("/*", i)) {
            return behind(text, "*/", i + 2);
        }
        if (text.startsWith("\"\"\"", i)) {
            return behindLiteral(text, "\"\"\"", i + 3, false);
        }
        return switch (text.charAt(i)) {
            case '"' -> behindLiteral(text, "\"", i + 1, true);
            case '\'' -> behindLiteral(text, "'", i + 1, true);
            default -> i;
        };
    }

    private static int before(String text, String mark, int from) {
        int at = text.indexOf(mark, from);
        return at < 0 ? text.length() : at;
    }

    private static int behind(String text, String mark, int from) {
        int at = text.indexOf(mark, from);
        return at < 0 ? text.length() : at + mark.length();
    }

    private static int behindLiteral(String text, String mark, int from, boolean endsWithLine) {
        int i = from;
        while (i < text.length()) {
            if (text.charAt(i) == '\\') {
                i += 2;
            } else if (text.startsWith(mark, i)) {
                return i + mark.length();
            } else if (endsWithLine && text.charAt(i) == '\n') {
                return i;
            } else {
                i++;
            }
        }
        return text.length();
    }

    /** Returns the offset of the first character that is neither space nor comment; 0 if there is none. */
    static int start(String text) {
        int i = 0;
        while (i < text.length()) {
            boolean comment = text.startsWith("//", i) || text.startsWith("/*", i);
            if (comment) {
                i = end(text, i);
            } else if (Character.isWhitespace(text.charAt(i))) {
                i++;
            } else {
                return i;
            }
        }
        return 0;
    }

    /** Returns where a name stands in a text outside of comments and literals; −1 if nowhere. */
    static int find(String text, String name) {
        Matcher matcher = Pattern.compile("(?<![\\w$])" + Pattern.quote(name) + "(?![\\w$])").matcher(of(text));
        return matcher.find() ? matcher.start() : -1;
    }
}
