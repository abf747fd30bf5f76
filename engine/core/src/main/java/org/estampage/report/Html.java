package org.estampage.report;

import java.util.Locale;

/**
 * Text that grows: markup as it is, everything else escaped. Only constants may go in as markup.
 *
 * @threads confined
 */
final class Html {
    private final StringBuilder out = new StringBuilder();

    /** Adds markup. */
    Html markup(String constant) {
        out.append(constant);
        return this;
    }

    /** Adds text for people, which can be anything. */
    Html text(String any) {
        out.append(escaped(any));
        return this;
    }

    /** Adds an element that holds nothing but text. */
    Html element(String startTag, String any, String name) {
        return markup("<" + startTag + ">").text(any).markup("</" + name + ">");
    }

    /** Adds a row of a table: a head and cells. */
    Html row(String head, String... cells) {
        markup("<tr>").element("th scope=\"row\"", head, "th");
        for (String cell : cells) {
            element("td", cell, "td");
        }
        return markup("</tr>\n");
    }

    @Override
    public String toString() {
        return out.toString();
    }

    /** Returns a text with nothing in it that means something in an element or between double quotes; control characters become visible. */
    static String escaped(String any) {
        StringBuilder safe = new StringBuilder(any.length() + 16);
        for (int i = 0; i < any.length(); i++) {
            char c = any.charAt(i);
            switch (c) {
                case '&' -> safe.append("&amp;");
                case '<' -> safe.append("&lt;");
                case '>' -> safe.append("&gt;");
                case '"' -> safe.append("&quot;");
                case '\'' -> safe.append("&#39;");
                case '{' -> safe.append("&#123;"); // so that no name can look like a mark of the page's form
                default -> safe.append(c < ' ' && c != '\n' && c != '\t' ? '\uFFFD' : c);
            }
        }
        return safe.toString();
    }

    /** Returns a count with its thousands apart. */
    static String count(long number) {
        return String.format(Locale.ROOT, "%,d", number);
    }

    /** Returns a number to so many significant digits or about, without an exponent where it can be read so. */
    static String number(double value) {
        double size = Math.abs(value);
        if (value == 0) {
            return "0";
        }
        if (!(size >= 1e-4 && size < 1e7)) {
            return String.format(Locale.ROOT, "%.4g", value);
        }
        int decimals = size >= 1000 ? 0 : size >= 100 ? 1 : size >= 10 ? 2 : size >= 1 ? 3 : size >= 0.01 ? 4 : 6;
        return String.format(Locale.ROOT, "%,." + decimals + "f", value);
    }

    /** Returns bytes in the unit that suits them. */
    static String bytes(long bytes) {
        return bytes < 10 << 10
                ? count(bytes) + " bytes"
                : bytes < 1 << 20
                        ? String.format(Locale.ROOT, "%,.1f KiB", bytes / 1024.0)
                        : String.format(Locale.ROOT, "%,.1f MiB", bytes / (1024.0 * 1024));
    }
}
