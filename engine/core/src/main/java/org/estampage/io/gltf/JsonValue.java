package org.estampage.io.gltf;

import com.fasterxml.jackson.databind.JsonNode;
import org.estampage.io.format.FormatException;

/**
 * A value of a JSON tree that knows where it stands, so that whatever is wrong with it can be said.
 *
 * @threads immutable by contract
 */
final class JsonValue {
    /** Whole numbers beyond this are not exact in JSON. */
    static final long LARGEST = 1L << 53;

    private final String source;
    private final String where;
    private final JsonNode node;

    JsonValue(String source, String where, JsonNode node) {
        this.source = source;
        this.where = where;
        this.node = node;
    }

    String source() {
        return source;
    }

    JsonNode node() {
        return node;
    }

    String where() {
        return where;
    }

    /** Returns whether the value is there; null counts as not there. */
    boolean isThere() {
        return !node.isMissingNode() && !node.isNull();
    }

    /** Returns a member of an object, which need not be there. */
    JsonValue get(String key) throws FormatException {
        if (isThere() && !node.isObject()) {
            throw wrong("an object");
        }
        return new JsonValue(source, where.isEmpty() ? key : where + "." + key, node.path(key));
    }

    /** Returns an element of an array. */
    JsonValue get(int index) {
        return new JsonValue(source, where + "[" + index + "]", node.path(index));
    }

    /** Returns the length of an array, 0 where none is there. */
    int size() throws FormatException {
        if (isThere() && !node.isArray()) {
            throw wrong("a list");
        }
        return node.size();
    }

    /** Returns a number of an element of a list of that length. */
    int index(int length) throws FormatException {
        if (length == 0) {
            throw wrong("nothing, since there is no such list");
        }
        return (int) integer(0, length - 1);
    }

    long integer(long least, long most) throws FormatException {
        double value = node.isNumber() ? node.asDouble() : Double.NaN;
        if (!(value >= least && value <= most && value == Math.rint(value))) {
            throw wrong("a whole number, " + (most == LARGEST ? "at least " + least : least + " … " + most));
        }
        return node.asLong();
    }

    long integer(long least, long most, long otherwise) throws FormatException {
        return isThere() ? integer(least, most) : otherwise;
    }

    /** Returns a finite number. */
    double number() throws FormatException {
        double value = node.isNumber() ? node.asDouble() : Double.NaN;
        if (!Double.isFinite(value)) {
            throw wrong("a number");
        }
        return value;
    }

    /** Returns so many finite numbers. */
    double[] numbers(int count) throws FormatException {
        if (!node.isArray() || node.size() != count) {
            throw wrong("a list of " + count + " numbers");
        }
        double[] values = new double[count];
        for (int i = 0; i < count; i++) {
            values[i] = get(i).number();
        }
        return values;
    }

    String text() throws FormatException {
        if (!node.isTextual()) {
            throw wrong("text");
        }
        return node.textValue();
    }

    String text(String otherwise) throws FormatException {
        return isThere() ? text() : otherwise;
    }

    FormatException wrong(String expected) {
        String found = node.isMissingNode()
                ? "nothing"
                : node.isContainerNode()
                        ? (node.isArray() ? "a list of " : "an object of ") + node.size()
                        : node.isTextual() ? FormatException.quote(cut(node.textValue())) : cut(node.asText());
        return FormatException.ofFile(source,
                "at " + (where.isEmpty() ? "its root" : where) + ": found " + found + ", expected " + expected);
    }

    /** Returns an exception about an element of the list that an accessor at this place stands for. */
    FormatException wrongElement(int element, String found, String expected) {
        return FormatException.ofFile(source, "at element " + element + " of " + where + ": found " + found + ", expected " + expected);
    }

    private static String cut(String text) {
        return text.length() > 40 ? text.substring(0, 40) + "…" : text;
    }
}
