package org.estampage.console;

/**
 * A place in a text.
 *
 * @param line    from 1
 * @param column  from 1, in characters; a tab is one
 * @param content the line's text
 */
record Place(int line, int column, String content) {
    /** Returns the place of a character. */
    static Place of(String text, int offset) {
        int line = 1;
        int lineStart = 0;
        for (int i = 0; i < Math.min(offset, text.length()); i++) {
            if (text.charAt(i) == '\n') {
                line++;
                lineStart = i + 1;
            }
        }
        int lineEnd = text.indexOf('\n', lineStart);
        return new Place(line, offset - lineStart + 1, text.substring(lineStart, lineEnd < 0 ? text.length() : lineEnd).stripTrailing());
    }

    /** Returns the line, and under it a mark at the column. */
    String marked() {
        StringBuilder mark = new StringBuilder("    ");
        for (int i = 0; i < column - 1 && i < content.length(); i++) {
            mark.append(content.charAt(i) == '\t' ? '\t' : ' ');
        }
        return "    " + content + System.lineSeparator() + mark.append('^') + System.lineSeparator();
    }
}
