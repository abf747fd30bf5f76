package org.estampage.console;

import java.util.Set;
import java.util.regex.Pattern;
import javax.lang.model.SourceVersion;
import org.jline.reader.Highlighter;
import org.jline.reader.LineReader;
import org.jline.utils.AttributedString;
import org.jline.utils.AttributedStringBuilder;
import org.jline.utils.AttributedStyle;

/**
 * Colours Java as it is typed: of a terminal's own sixteen colours, which its user has chosen to be read on its background, and none of those that
 * vanish on white or on black.
 */
final class SnippetColours implements Highlighter {
    private static final AttributedStyle PLAIN = AttributedStyle.DEFAULT;
    private static final AttributedStyle VERB = PLAIN.bold();
    private static final AttributedStyle KEYWORD = PLAIN.foreground(AttributedStyle.MAGENTA);
    private static final AttributedStyle LITERAL = PLAIN.foreground(AttributedStyle.GREEN);
    private static final AttributedStyle NUMBER = PLAIN.foreground(AttributedStyle.CYAN);
    private static final AttributedStyle COMMENT = PLAIN.faint();
    private static final AttributedStyle UNKNOWN = PLAIN.foreground(AttributedStyle.RED);

    /** Words that are keywords only in their places, but in scripts hardly anything else. */
    private static final Set<String> NEARLY_KEYWORDS = Set.of("var", "record", "yield", "sealed", "permits");
    /** Where a snippet declares a type, calls may mean the type's own methods. */
    private static final Pattern TYPE = Pattern.compile("\\b(?:class|interface|record|enum)\\b");

    private final Snippets snippets;
    private final boolean colours;

    SnippetColours(Snippets snippets, boolean colours) {
        this.snippets = snippets;
        this.colours = colours;
    }

    @Override
    public AttributedString highlight(LineReader reader, String text) {
        return highlight(text);
    }

    AttributedString highlight(String text) {
        if (!colours) {
            return new AttributedString(text);
        }
        AttributedStringBuilder result = new AttributedStringBuilder();
        boolean ownMethods = TYPE.matcher(text).find();
        String before = "";
        int i = 0;
        while (i < text.length()) {
            int end = Math.min(Masked.end(text, i), text.length());
            char c = text.charAt(i);
            if (end > i) {
                result.styled(c == '/' ? COMMENT : LITERAL, text.substring(i, end));
            } else if (Character.isJavaIdentifierPart(c)) {
                end = wordEnd(text, i);
                String word = text.substring(i, end);
                result.styled(style(word, before, text, end, ownMethods), word);
                before = word;
            } else {
                end = i + 1;
                result.styled(PLAIN, text.substring(i, end));
                before = Character.isWhitespace(c) ? before : String.valueOf(c);
            }
            i = end;
        }
        return result.toAttributedString();
    }

    private static int wordEnd(String text, int start) {
        boolean number = Character.isDigit(text.charAt(start));
        int end = start;
        while (end < text.length() && (Character.isJavaIdentifierPart(text.charAt(end)) || (number && text.charAt(end) == '.'))) {
            end++;
        }
        return end;
    }

    private AttributedStyle style(String word, String before, String text, int end, boolean ownMethods) {
        if (Character.isDigit(word.charAt(0))) {
            return NUMBER;
        }
        if (SourceVersion.isKeyword(word) || NEARLY_KEYWORDS.contains(word)) {
            return KEYWORD;
        }
        if (before.equals(".") || before.equals(":") || !text.startsWith("(", end)) {
            return PLAIN;
        }
        if (Snippets.isVerb(word)) {
            return VERB;
        }
        // Behind a word or a type's end it is what is being declared or made.
        boolean declared = !before.isEmpty()
                && (Character.isJavaIdentifierPart(before.charAt(before.length() - 1)) || "]>@".contains(before))
                && !before.equals("return") && !before.equals("else") && !before.equals("do") && !before.equals("throw")
                && !before.equals("yield");
        return declared || ownMethods || snippets.mayCall(word) ? PLAIN : UNKNOWN;
    }
}
