package org.estampage.io.png;

import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.OutputStream;
import java.nio.charset.StandardCharsets;

/**
 * Texts of a PNG file: what keywords and texts may hold, and how they are written.
 *
 * @threads stateless
 * @source W3C Portable Network Graphics (Third Edition), section 11.3.3 (tEXt, iTXt)
 */
final class PngText {
    private static final int LONGEST_KEYWORD = 79;

    private PngText() {
    }

    /**
     * Checks a keyword and its text.
     *
     * @throws IllegalArgumentException if the keyword does not have 1 … 79 printable Latin-1 characters, has a space at an end or two in a row, or
     *                                  the text has a NUL
     */
    static void check(String keyword, String text) {
        boolean good = !keyword.isEmpty() && keyword.length() <= LONGEST_KEYWORD && keyword.equals(keyword.strip())
                && !keyword.contains("  ")
                && keyword.chars().allMatch(PngText::isPrintable);
        if (!good) {
            throw new IllegalArgumentException("keyword \"" + keyword + "\" must have 1 … " + LONGEST_KEYWORD
                    + " printable Latin-1 characters, no space at its ends and no two in a row");
        }
        if (text.indexOf(0) >= 0) {
            throw new IllegalArgumentException("the text of keyword \"" + keyword + "\" has a NUL at character " + text.indexOf(0));
        }
    }

    private static boolean isPrintable(int c) {
        return (c >= 32 && c <= 126) || (c >= 161 && c <= 255);
    }

    static void write(OutputStream out, String keyword, String text) throws IOException {
        ByteArrayOutputStream data = new ByteArrayOutputStream();
        data.writeBytes(keyword.getBytes(StandardCharsets.ISO_8859_1));
        data.write(0);
        if (text.chars().allMatch(c -> isPrintable(c) || c == '\n' || c == 160)) {
            data.writeBytes(text.getBytes(StandardCharsets.ISO_8859_1));
            PngChunks.write(out, "tEXt", data.toByteArray());
        } else {
            // Not compressed (two bytes), no language, no translated keyword.
            data.writeBytes(new byte[4]);
            data.writeBytes(text.getBytes(StandardCharsets.UTF_8));
            PngChunks.write(out, "iTXt", data.toByteArray());
        }
    }
}
