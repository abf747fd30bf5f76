package org.estampage.io.ply;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.util.ArrayList;
import java.util.List;
import org.estampage.io.format.FormatException;
import org.estampage.io.shared.FileSource;
import org.jspecify.annotations.Nullable;

/**
 * What a PLY header says, read from the file's start; the source stands behind it afterwards.
 *
 * @threads immutable
 */
final class PlyHeader {
    private static final int LONGEST = 1 << 20;

    /** How the values are stored. */
    enum Form {
        ASCII, LITTLE_ENDIAN, BIG_ENDIAN
    }

    /**
     * A column of an element.
     *
     * @param countType the type of a list's length; null when it is no list
     * @param line      the header line it stands in
     */
    record Property(String name, PlyType type, @Nullable PlyType countType, long line) {
        boolean isList() {
            return countType != null;
        }
    }

    /**
     * A table.
     *
     * @param line the header line it stands in
     */
    record Element(String name, long count, List<Property> properties, long line) {
        /** Returns the bytes of a record in a binary file, lists taken as empty. */
        long leastSize() {
            long size = 0;
            for (Property p : properties) {
                size += p.countType == null ? p.type.size : p.countType.size;
            }
            return size;
        }

        boolean hasLists() {
            return properties.stream().anyMatch(Property::isList);
        }
    }

    final Form form;
    final List<Element> elements;
    final long lines;

    private PlyHeader(Form form, List<Element> elements, long lines) {
        this.form = form;
        this.elements = elements;
        this.lines = lines;
    }

    static PlyHeader read(FileSource file) throws IOException {
        byte[] bytes = new byte[(int) Math.min(LONGEST, file.size())];
        int length = file.read(bytes, 0, bytes.length);
        Reader reader = new Reader(file.name(), bytes, length);
        PlyHeader header = reader.read();
        file.seek(reader.at);
        return header;
    }

    private static final class Reader {
        private final String source;
        private final byte[] bytes;
        private final int length;
        private int at;
        private long line;
        /** Whether lines end with a carriage return alone. */
        private boolean oldMac;

        Reader(String source, byte[] bytes, int length) {
            this.source = source;
            this.bytes = bytes;
            this.length = length;
        }

        PlyHeader read() throws FormatException {
            String first = nextLine();
            if (!first.strip().equals("ply")) {
                throw wrong(FormatException.quote(first), "ply");
            }
            Form form = null;
            List<Element> elements = new ArrayList<>();
            List<Property> properties = new ArrayList<>();
            while (true) {
                String text = nextLine();
                String[] words = text.strip().split("\\s+", -1);
                switch (words[0]) {
                    case "", "comment", "obj_info" -> {
                        continue;
                    }
                    case "format" -> form = form(words, text);
                    case "element" -> {
                        properties = new ArrayList<>();
                        elements.add(element(words, text, properties));
                    }
                    case "property" -> {
                        if (elements.isEmpty()) {
                            throw wrong("a property", "an element before it");
                        }
                        properties.add(property(words, text));
                    }
                    case "end_header" -> {
                        if (form == null) {
                            throw wrong("end_header", "a format line before it");
                        }
                        return new PlyHeader(form, elements, line);
                    }
                    default -> throw wrong(FormatException.quote(text), "format, element, property, comment, obj_info or end_header");
                }
            }
        }

        private FormatException wrong(String found, String expected) {
            return FormatException.atLine(source, line, found, expected);
        }

        private String nextLine() throws FormatException {
            line++;
            int from = at;
            while (at < length && bytes[at] != '\n' && bytes[at] != '\r') {
                at++;
            }
            if (at == length) {
                throw wrong(length == LONGEST ? "no end_header in the first " + LONGEST + " bytes" : "the end of the file", "end_header");
            }
            String text = new String(bytes, from, at - from, StandardCharsets.ISO_8859_1);
            boolean returns = bytes[at] == '\r';
            if (line == 1) { // settled here: behind the last line, a line feed may be the first value
                oldMac = returns && !(at + 1 < length && bytes[at + 1] == '\n');
            }
            at += returns && !oldMac && at + 1 < length && bytes[at + 1] == '\n' ? 2 : 1;
            return text;
        }

        private Form form(String[] words, String text) throws FormatException {
            Form form = words.length < 2 ? null : switch (words[1]) {
                case "ascii" -> Form.ASCII;
                case "binary_little_endian" -> Form.LITTLE_ENDIAN;
                case "binary_big_endian" -> Form.BIG_ENDIAN;
                default -> null;
            };
            if (form == null || words.length != 3 || !words[2].equals("1.0")) {
                throw wrong(FormatException.quote(text), "format ascii, binary_little_endian or binary_big_endian, and 1.0");
            }
            return form;
        }

        private Element element(String[] words, String text, List<Property> properties) throws FormatException {
            if (words.length == 3 && words[2].length() <= 18 && words[2].chars().allMatch(c -> c >= '0' && c <= '9')) {
                return new Element(words[1], Long.parseLong(words[2]), properties, line);
            }
            throw wrong(FormatException.quote(text), "element, a name and a count");
        }

        private Property property(String[] words, String text) throws FormatException {
            if (words.length == 3) {
                return new Property(words[2], type(words[1]), null, line);
            }
            if (words.length == 5 && words[1].equals("list")) {
                PlyType count = type(words[2]);
                if (count.isFloat()) {
                    throw wrong(FormatException.quote(words[2]), "a whole number type for a list's length");
                }
                return new Property(words[4], type(words[3]), count, line);
            }
            throw wrong(FormatException.quote(text), "property, a type and a name, or property list, two types and a name");
        }

        private PlyType type(String name) throws FormatException {
            PlyType type = PlyType.named(name);
            if (type == null) {
                throw wrong("type " + FormatException.quote(name),
                        "char, uchar, short, ushort, int, uint, float, double or int8 … float64");
            }
            return type;
        }
    }
}
