package org.estampage.io.gltf;

import com.fasterxml.jackson.core.JsonFactory;
import com.fasterxml.jackson.core.JsonLocation;
import com.fasterxml.jackson.core.JsonProcessingException;
import com.fasterxml.jackson.core.StreamReadConstraints;
import com.fasterxml.jackson.databind.DeserializationFeature;
import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Base64;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import org.estampage.finding.Place;
import org.estampage.io.format.FormatException;
import org.estampage.io.shared.BinaryInput;
import org.estampage.io.shared.FileSource;
import org.estampage.io.shared.NearbyFile;
import org.estampage.io.shared.Notices;
import org.jspecify.annotations.Nullable;

/**
 * An open glTF file: its JSON tree, and the accessors that the tree describes, over buffers that are opened when they are first needed.
 *
 * @threads confined to one thread at a time
 */
final class GltfFile implements AutoCloseable {
    private static final int HEADER = 12;
    private static final int CHUNK_HEADER = 8;
    private static final int LARGEST_JSON = Integer.MAX_VALUE - 8;
    /** The tree of a text takes about so many bytes a byte where the text is mostly names and numbers. */
    private static final int TREE_BYTES = 8;
    /**
     * What the tree takes at most for each opening bracket, comma or colon, in a JVM with compressed pointers: an object in an object is a node of 24 bytes, a map
     * of 56 with a table of 80, and an entry of 40, for a bracket and a colon.
     */
    private static final int NODE_BYTES = 100;
    private static final int LONGEST_MESSAGE = 120;
    private static final int MOST_ELEMENTS = (Integer.MAX_VALUE - 8) / 4;
    private static final Map<String, Integer> COMPONENTS = Map.of("SCALAR", 1, "VEC2", 2, "VEC3", 3, "VEC4", 4);

    private final FileSource file;
    private final Notices notices;
    private final JsonValue root;
    private final Map<Integer, ByteRange> buffers = new HashMap<>();
    private final Map<Integer, Accessor> accessors = new HashMap<>();
    private final List<FileSource> opened = new ArrayList<>();
    private @Nullable ByteRange binary;

    GltfFile(FileSource file, Notices notices) throws IOException {
        this.file = file;
        this.notices = notices;
        byte[] head = new byte[HEADER];
        int length = file.read(head, 0, HEADER);
        boolean glb = length >= 4 && BinaryInput.intAt(head, 0) == GltfFormat.MAGIC;
        root = new JsonValue(file.name(), "", glb ? readBinary(head, length) : readText());
        if (!root.node().isObject()) {
            throw root.wrong("an object");
        }
    }

    JsonValue root() {
        return root;
    }

    Path path() {
        return file.path();
    }

    // The container

    private JsonNode readText() throws IOException {
        file.seek(0);
        return parsed(bytes(file.size()), -1);
    }

    private byte[] bytes(long length) throws IOException {
        if (length > LARGEST_JSON) {
            throw FormatException.ofFile(file.name(),
                    "has more than two gigabytes of JSON: keep its buffers in files beside it, or in a GLB");
        }
        file.reserve(length * TREE_BYTES);
        byte[] bytes = new byte[(int) length];
        int read = file.read(bytes, 0, bytes.length);
        if (read < length) {
            throw FormatException.atByte(file.name(), file.position(), "the end of the file", "the rest of the JSON");
        }
        file.reserve(Math.max(0, nodes(bytes) * NODE_BYTES - length * TREE_BYTES));
        return bytes;
    }

    /** Returns about how many nodes a text's tree has, at most: a text of brackets takes thirty times its length. */
    private static long nodes(byte[] json) {
        long count = 0;
        for (byte b : json) {
            count += b == '{' || b == '[' || b == ',' || b == ':' ? 1 : 0;
        }
        return count;
    }

    private JsonNode readBinary(byte[] head, int length) throws IOException {
        String name = file.name();
        if (length < HEADER) {
            throw FormatException.atByte(name, length, "the end of the file", "a header of " + HEADER + " bytes");
        }
        if (BinaryInput.intAt(head, 4) != 2) {
            throw FormatException.atByte(name, 4, "version " + Integer.toUnsignedString(BinaryInput.intAt(head, 4)),
                    "version 2: export as glTF 2.0");
        }
        long end = Integer.toUnsignedLong(BinaryInput.intAt(head, 8));
        if (end > file.size()) {
            throw FormatException.atByte(name, file.size(), "the end of the file", end + " bytes, as byte 8 says");
        }
        if (end < file.size()) {
            notices.warn("trailing-data", "the file goes on behind its last chunk", "look whether it was written whole",
                    new Place.Byte(name, end));
        }
        JsonNode json = null;
        for (long at = HEADER; at < end;) {
            byte[] header = new byte[CHUNK_HEADER];
            if (end - at < CHUNK_HEADER || file.read(header, 0, CHUNK_HEADER) < CHUNK_HEADER) {
                throw FormatException.atByte(name, end, "the end of the file",
                        "a chunk's header of " + CHUNK_HEADER + " bytes from byte " + at + " on");
            }
            long size = Integer.toUnsignedLong(BinaryInput.intAt(header, 0));
            int type = BinaryInput.intAt(header, 4);
            at += CHUNK_HEADER;
            if (size > end - at) {
                throw FormatException.atByte(name, at - CHUNK_HEADER, "a chunk of " + size + " bytes", "at most " + (end - at));
            }
            if (json == null) {
                if (type != GltfWriter.JSON_CHUNK) {
                    throw FormatException.atByte(name, at - 4, "chunk type " + Integer.toHexString(type), "JSON, "
                            + Integer.toHexString(GltfWriter.JSON_CHUNK));
                }
                json = parsed(bytes(size), at);
            } else if (type == GltfWriter.BINARY_CHUNK && binary == null) {
                binary = ByteRange.of(file, at, size);
            }
            at += size;
            file.seek(at);
        }
        if (json == null) {
            throw FormatException.atByte(name, end, "no chunk", "a chunk of JSON");
        }
        return json;
    }

    /** Parses JSON; {@code offset} is its place in a binary file, −1 in a text. */
    private JsonNode parsed(byte[] json, long offset) throws IOException {
        JsonFactory factory = JsonFactory.builder() // a text may hold whole buffers
                .streamReadConstraints(StreamReadConstraints.builder().maxStringLength(Integer.MAX_VALUE).build()).build();
        try {
            return new ObjectMapper(factory).enable(DeserializationFeature.FAIL_ON_TRAILING_TOKENS)
                    .enable(DeserializationFeature.FAIL_ON_READING_DUP_TREE_KEY).readTree(json);
        } catch (JsonProcessingException e) {
            JsonLocation where = e.getLocation();
            String found = "no valid JSON (" + oneLine(e.getOriginalMessage()) + ")";
            if (offset >= 0) {
                throw FormatException.atByte(file.name(), offset + (where == null ? 0 : Math.max(0, where.getByteOffset())), found, "JSON");
            }
            throw FormatException.atLine(file.name(), where == null ? 1 : Math.max(1, where.getLineNr()), found, "JSON");
        } catch (IOException e) { // characters in no known encoding
            throw FormatException.ofFile(file.name(), "holds no JSON in UTF-8: " + oneLine(String.valueOf(e.getMessage())));
        }
    }

    private static String oneLine(String text) {
        String quoted = FormatException.quote(text.length() > LONGEST_MESSAGE ? text.substring(0, LONGEST_MESSAGE) : text);
        return quoted.substring(1, quoted.length() - 1);
    }

    // Buffers

    private ByteRange buffer(int number) throws IOException {
        ByteRange known = buffers.get(number);
        if (known == null) {
            known = open(number);
            buffers.put(number, known);
        }
        return known;
    }

    private ByteRange open(int number) throws IOException {
        JsonValue json = root.get("buffers").get(number);
        JsonValue length = json.get("byteLength");
        long needed = length.integer(1, JsonValue.LARGEST);
        JsonValue uri = json.get("uri");
        ByteRange bytes;
        if (!uri.isThere()) {
            bytes = number == 0 ? binary : null;
            if (bytes == null) {
                throw uri.wrong("a file's name: only the first buffer of a GLB has none, and its bytes in the file");
            }
        } else {
            bytes = Uris.isData(uri.text()) ? data(uri) : beside(uri);
        }
        if (bytes.length() < needed) {
            throw length.wrong("at most the " + bytes.length() + " bytes that are there: export the model again, or copy it whole");
        }
        return bytes;
    }

    private ByteRange data(JsonValue uri) throws IOException {
        String text = uri.text();
        int comma = text.indexOf(',');
        if (comma < 0 || !text.substring(0, comma).endsWith(";base64")) {
            throw uri.wrong("data:…;base64,…");
        }
        file.reserve(text.length());
        try {
            return ByteRange.of(Base64.getDecoder().decode(text.substring(comma + 1)));
        } catch (IllegalArgumentException e) { // says which character
            throw uri.wrong("base64: " + oneLine(String.valueOf(e.getMessage())));
        }
    }

    private ByteRange beside(JsonValue uri) throws IOException {
        String name = Uris.decoded(uri.text());
        Path path = name == null ? null : NearbyFile.of(file.path(), name);
        if (path == null) {
            throw uri.wrong("a file in the folder of the model: geometry is read from nowhere else");
        }
        if (!Files.isRegularFile(path)) {
            throw uri.wrong("a file that is there: copy it beside the model");
        }
        FileSource source = FileSource.open(path, file.task());
        opened.add(source);
        return ByteRange.of(source, 0, source.size());
    }

    // Accessors

    Accessor accessor(JsonValue reference) throws IOException {
        int number = reference.index(root.get("accessors").size());
        Accessor known = accessors.get(number);
        if (known == null) {
            known = accessor(number);
            accessors.put(number, known);
        }
        return known;
    }

    private Accessor accessor(int number) throws IOException {
        JsonValue json = root.get("accessors").get(number);
        Integer components = COMPONENTS.get(json.get("type").text());
        if (components == null) {
            throw json.get("type").wrong("SCALAR, VEC2, VEC3 or VEC4");
        }
        ComponentType type = type(json.get("componentType"));
        int count = (int) json.get("count").integer(1, MOST_ELEMENTS);
        int size = components * type.size;
        Accessor.Elements elements = null;
        if (json.get("bufferView").isThere()) {
            elements = elements(json, count, size, json.get("count"));
        } else if (count > file.size()) { // zeros need no bytes, so nothing else bounds them
            throw json.get("count").wrong("at most " + file.size() + " without a bufferView");
        }
        JsonValue sparse = json.get("sparse");
        return new Accessor(json, count, components, type, json.get("normalized").node().asBoolean(), elements,
                sparse.isThere() ? sparse(sparse, count, size) : null);
    }

    private static ComponentType type(JsonValue json) throws FormatException {
        ComponentType type = ComponentType.of(json.integer(0, Integer.MAX_VALUE));
        if (type == null) {
            throw json.wrong("5120, 5121, 5122, 5123, 5125 or 5126");
        }
        return type;
    }

    private Accessor.Sparse sparse(JsonValue json, int count, int size) throws IOException {
        int number = (int) json.get("count").integer(1, count);
        JsonValue indices = json.get("indices");
        ComponentType type = type(indices.get("componentType"));
        if (type != ComponentType.UNSIGNED_BYTE && type != ComponentType.UNSIGNED_SHORT && type != ComponentType.UNSIGNED_INT) {
            throw indices.get("componentType").wrong("5121, 5123 or 5125");
        }
        return new Accessor.Sparse(number, type, elements(indices, number, type.size, json.get("count")),
                elements(json.get("values"), number, size, json.get("count")));
    }

    /** Returns elements of a view, of which it is known that all lie inside. */
    private Accessor.Elements elements(JsonValue json, int count, int size, JsonValue said) throws IOException {
        JsonValue views = root.get("bufferViews");
        JsonValue view = views.get(json.get("bufferView").index(views.size()));
        ByteRange bytes = buffer(view.get("buffer").index(root.get("buffers").size()));
        long start = view.get("byteOffset").integer(0, JsonValue.LARGEST, 0);
        long length = view.get("byteLength").integer(1, JsonValue.LARGEST);
        int stride = (int) view.get("byteStride").integer(1, 252, size);
        if (start + length > bytes.length()) {
            throw view.get("byteLength").wrong("at most " + Math.max(0, bytes.length() - start) + ", which is where the buffer ends");
        }
        long offset = json.get("byteOffset").integer(0, JsonValue.LARGEST, 0);
        if (offset + (long) stride * (count - 1) + size > length) {
            throw said
                    .wrong("at most " + Math.max(0, length - offset - size + stride) / stride + " elements of " + size + " bytes, " + stride
                            + " apart, in " + view.where());
        }
        return new Accessor.Elements(bytes, start + offset, stride);
    }

    @Override
    public void close() throws IOException {
        IOException first = null;
        for (FileSource source : opened) {
            try {
                source.close();
            } catch (IOException e) {
                first = first == null ? e : first;
            }
        }
        if (first != null) {
            throw first;
        }
    }
}
