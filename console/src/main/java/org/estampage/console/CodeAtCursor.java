package org.estampage.console;

import java.util.Optional;
import org.jspecify.annotations.Nullable;

/**
 * What stands around the cursor in Java text that is still being typed, by its letters and brackets alone: nothing need compile.
 *
 * @threads immutable
 */
final class CodeAtCursor {
    /**
     * A call whose brackets are still open.
     *
     * @param receiver the expression before the dot; null without one
     * @param argument the number of the argument that is being typed, from 0
     */
    record Call(@Nullable String receiver, String name, int argument) {
    }

    private final String before;
    private final String masked;
    private final int open;
    private final int wordStart;

    private CodeAtCursor(String before) {
        this.before = before;
        this.masked = Masked.of(before);
        this.open = Masked.open(before);
        this.wordStart = wordStart(before, open);
    }

    static CodeAtCursor of(String text, int cursor) {
        return new CodeAtCursor(text.substring(0, cursor));
    }

    private static int wordStart(String before, int open) {
        if (open >= 0) {
            // Within a literal a path's folders are words of their own.
            return Math.max(open + 1, before.lastIndexOf('/') + 1);
        }
        int start = before.length();
        while (start > 0 && Character.isJavaIdentifierPart(before.charAt(start - 1))) {
            start--;
        }
        return start;
    }

    /** Returns where the word that is being typed begins; the cursor if there is none. */
    int wordStart() {
        return wordStart;
    }

    /** Returns the part of the word that is typed. */
    String word() {
        return before.substring(wordStart);
    }

    /** Returns whether the cursor is in a comment, a text block or a character, where nothing can be told. */
    boolean isOpaque() {
        return open >= 0 && !isInString();
    }

    /** Returns whether the cursor is in a string. */
    boolean isInString() {
        return open >= 0 && before.charAt(open) == '"' && !before.startsWith("\"\"\"", open);
    }

    /** Returns what is typed of the string that the cursor is in. */
    String string() {
        return before.substring(open + 1);
    }

    /** Returns whether the word that is being typed follows a dot. */
    boolean isMember() {
        int dot = skipSpaceBack(wordStart) - 1;
        return open < 0 && dot >= 0 && masked.charAt(dot) == '.';
    }

    /** Returns the expression whose member is being typed: what stands before the dot before the word. */
    Optional<String> receiver() {
        return open >= 0 ? Optional.empty() : Optional.ofNullable(receiverOf(wordStart));
    }

    /** Returns the innermost call that the cursor is in. */
    Optional<Call> call() {
        int argument = 0;
        int depth = 0;
        for (int i = (open >= 0 ? open : wordStart) - 1; i >= 0; i--) {
            switch (masked.charAt(i)) {
                case ')', ']', '}' -> depth++;
                case '[', '{' -> {
                    if (depth-- == 0) {
                        return Optional.empty();
                    }
                }
                case '(' -> {
                    if (depth-- == 0) {
                        return callBefore(i, argument);
                    }
                }
                case ',' -> argument += depth == 0 ? 1 : 0;
                case ';' -> {
                    if (depth == 0) {
                        return Optional.empty();
                    }
                }
                default -> {
                    // part of an argument
                }
            }
        }
        return Optional.empty();
    }

    private Optional<Call> callBefore(int bracket, int argument) {
        int end = skipSpaceBack(bracket);
        int start = nameStart(end);
        return start == end ? Optional.empty() : Optional.of(new Call(receiverOf(start), before.substring(start, end), argument));
    }

    private @Nullable String receiverOf(int nameStart) {
        int dot = skipSpaceBack(nameStart) - 1;
        if (dot < 1 || masked.charAt(dot) != '.') {
            return null;
        }
        int start = expressionStart(dot);
        return start == dot ? null : before.substring(start, dot).strip();
    }

    /** Returns where a chain of names, calls and indices begins that ends before {@code end}. */
    private int expressionStart(int end) {
        int start = end;
        while (true) {
            int i = skipSpaceBack(start);
            while (i > 0 && (masked.charAt(i - 1) == ')' || masked.charAt(i - 1) == ']')) {
                int opening = openingBracket(i - 1);
                if (opening < 0) {
                    return end;
                }
                i = skipSpaceBack(opening);
                start = opening;
            }
            int name = nameStart(i);
            if (name < i) {
                start = name;
            } else if (i > 0 && before.charAt(i - 1) == '"') { // a literal, whose text is masked
                return end;
            }
            int dot = skipSpaceBack(start) - 1;
            if (dot < 0 || masked.charAt(dot) != '.') {
                return withNew(start);
            }
            start = dot;
        }
    }

    private int withNew(int start) {
        int end = skipSpaceBack(start);
        int word = nameStart(end);
        return before.substring(word, end).equals("new") ? word : start;
    }

    private int openingBracket(int closing) {
        int depth = 0;
        for (int i = closing; i >= 0; i--) {
            char c = masked.charAt(i);
            if (c == ')' || c == ']') {
                depth++;
            } else if ((c == '(' || c == '[') && --depth == 0) {
                return i;
            }
        }
        return -1;
    }

    private int nameStart(int end) {
        int start = end;
        while (start > 0 && Character.isJavaIdentifierPart(masked.charAt(start - 1))) {
            start--;
        }
        return start;
    }

    private int skipSpaceBack(int end) {
        int i = end;
        while (i > 0 && Character.isWhitespace(before.charAt(i - 1))) {
            i--;
        }
        return i;
    }
}
