package org.estampage.session;

import java.util.ArrayList;
import java.util.List;
import org.estampage.io.format.FormatException;

/**
 * Tables of comma-separated values. Quoted fields may hold commas, line breaks and doubled quotation marks; lines end with CR LF or LF; a byte order mark
 * and empty lines are passed over.
 *
 * @source RFC 4180, Common Format and MIME Type for Comma-Separated Values (CSV) Files, 2005; LF alone is taken, too
 */
final class Csv {
    /**
     * One record.
     *
     * @param line   where it begins, counted from 1
     * @param fields its fields
     */
    record Row(long line, List<String> fields) {
    }

    private final String source;
    private final String text;
    private final List<Row> rows = new ArrayList<>();
    private int at;
    private long line = 1;

    private Csv(String source, String text) {
        this.source = source;
        this.text = text.startsWith("\ufeff") ? text.substring(1) : text;
    }

    /**
     * Returns all records.
     *
     * @throws FormatException if a quotation mark stands where none may, or is not closed
     */
    static List<Row> rows(String source, String text) throws FormatException {
        Csv csv = new Csv(source, text);
        while (csv.at < csv.text.length()) {
            csv.row();
        }
        return csv.rows;
    }

    /** Returns a record as text, with a line's end. */
    static String row(List<String> fields) {
        List<String> out = new ArrayList<>();
        for (String field : fields) {
            boolean plain = field.chars().noneMatch(c -> c == ',' || c == '"' || c == '\n' || c == '\r');
            out.add(plain ? field : '"' + field.replace("\"", "\"\"") + '"');
        }
        return String.join(",", out) + "\r\n";
    }

    private void row() throws FormatException {
        long begin = line;
        List<String> fields = new ArrayList<>();
        do {
            fields.add(at < text.length() && text.charAt(at) == '"' ? quoted() : plain());
        } while (took(','));
        if (!took('\n') && at < text.length() && !(took('\r') && took('\n'))) {
            throw FormatException.atLine(source, line, FormatException.quote(text.substring(at, at + 1)),
                    "a comma or the line's end after a quoted field");
        }
        line++;
        if (fields.size() > 1 || !fields.get(0).isBlank()) {
            rows.add(new Row(begin, fields));
        }
    }

    private boolean took(char c) {
        if (at < text.length() && text.charAt(at) == c) {
            at++;
            return true;
        }
        return false;
    }

    private String plain() throws FormatException {
        int begin = at;
        while (at < text.length() && ",\r\n".indexOf(text.charAt(at)) < 0) {
            if (text.charAt(at) == '"') {
                throw FormatException.atLine(source, line, "a quotation mark within a field",
                        "the whole field in quotation marks, and this one doubled");
            }
            at++;
        }
        return text.substring(begin, at);
    }

    private String quoted() throws FormatException {
        long begin = line;
        StringBuilder field = new StringBuilder();
        at++;
        while (at < text.length()) {
            char c = text.charAt(at++);
            if (c == '"' && !took('"')) {
                return field.toString();
            }
            line += c == '\n' ? 1 : 0;
            field.append(c);
        }
        throw FormatException.atLine(source, begin, "a quotation mark that is not closed", "a second one at the field's end");
    }
}
