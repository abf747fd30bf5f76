package org.estampage.io.ply;

import java.io.IOException;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.HashSet;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Objects;
import java.util.Set;
import java.util.stream.Stream;
import org.estampage.finding.Place;
import org.estampage.io.format.FormatException;
import org.estampage.io.ply.PlyHeader.Element;
import org.estampage.io.ply.PlyHeader.Form;
import org.estampage.io.ply.PlyHeader.Property;
import org.estampage.io.shared.BinaryInput;
import org.estampage.io.shared.FileSource;
import org.estampage.io.shared.IntList;
import org.estampage.io.shared.Notices;
import org.estampage.io.shared.PolygonTriangles;
import org.estampage.io.shared.TextCursor;
import org.estampage.io.shared.TextLines;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.Part;
import org.estampage.task.Task;
import org.jspecify.annotations.Nullable;

/**
 * Reads one PLY file: vertices go into columns, faces into one list of corners.
 *
 * @threads confined to one thread at a time
 */
final class PlyReader {
    /** Names of the columns that make up one thing; all of a row must be there. The first match of a list counts. */
    private static final String[][] POSITION = {{"x", "y", "z"}};
    private static final String[][] NORMAL = {{"nx", "ny", "nz"}};
    private static final String[][] UV = {{"s", "t"}, {"u", "v"}, {"texture_u", "texture_v"}};
    private static final String[][] COLOUR = {{"red", "green", "blue", "alpha"}, {"red", "green", "blue"},
            {"diffuse_red", "diffuse_green", "diffuse_blue"}};
    private static final Set<String> CORNER_LISTS = Set.of("vertex_indices", "vertex_index");
    private static final int LONGEST_ARRAY = Integer.MAX_VALUE - 8;
    /** The most columns that we keep; a header of a megabyte could name fifty thousand. */
    private static final int MOST_COLUMNS = 256;

    /** A property and where its values go. */
    private static final class Column {
        final Property property;
        float[] dest = {};
        int stride = 1;
        int component;
        float one = 1;
        double worstRounding;

        Column(Property property) {
            this.property = property;
        }

        void put(int record, double value) {
            float f = (float) value;
            if (f != value && !Double.isNaN(value)) {
                worstRounding = Math.max(worstRounding, Math.abs(f - value));
            }
            dest[record * stride + component] = one == 1 ? f : f / one;
        }
    }

    /** A group of columns that make up one attribute. */
    private static final class Group {
        final float[] values;
        final int components;
        final Attribute.Storage storage;

        Group(float[] values, int components, Attribute.Storage storage) {
            this.values = values;
            this.components = components;
            this.storage = storage;
        }
    }

    private final FileSource file;
    private final String source;
    private final Notices notices = new Notices();
    private final PlyHeader header;
    private final boolean bigEndian;

    private int vertexCount;
    private @Nullable Group positions;
    private @Nullable Group normals;
    private @Nullable Group uvs;
    private @Nullable Group colours;
    private final List<Attributes> extras = new ArrayList<>();

    private IntList corners = new IntList(0);
    private @Nullable IntList sizes;
    private int faceCount;

    private record Attributes(String name, Group group) {
    }

    private PlyReader(FileSource file) throws IOException {
        this.file = file;
        source = file.name();
        header = PlyHeader.read(file);
        bigEndian = header.form == Form.BIG_ENDIAN;
    }

    static Mesh read(Path path, Task task) throws IOException {
        try (FileSource file = FileSource.open(path, task)) {
            return new PlyReader(file).read();
        }
    }

    private Mesh read() throws IOException {
        Element vertices = only("vertex");
        Element faces = only("face");
        if (vertices == null || faces == null || faces.count() == 0 || vertices.count() == 0) {
            throw noFaces();
        }
        if (vertices.count() > LONGEST_ARRAY / 4) {
            throw FormatException.atLine(source, vertices.line(), vertices.count() + " vertices", "at most 536 million: split the file");
        }
        vertexCount = (int) vertices.count();
        if (header.form == Form.ASCII) {
            readText();
        } else {
            readBinary();
        }
        if (faceCount == 0) {
            throw noFaces();
        }
        return assemble();
    }

    private FormatException noFaces() {
        return FormatException.ofFile(source,
                "has no faces: export the mesh with faces (a face element with vertex_indices), not as points or strips");
    }

    private @Nullable Element only(String name) throws FormatException {
        Element found = null;
        for (Element element : header.elements) {
            if (element.name().equals(name)) {
                if (found != null) {
                    throw FormatException.atLine(source, element.line(), "a second element " + name, "one");
                }
                found = element;
            }
        }
        return found;
    }

    // Binary

    private void readBinary() throws IOException {
        BinaryInput in = new BinaryInput(file);
        for (Element element : header.elements) {
            long least = element.leastSize();
            if (least > 0 && element.count() > in.left() / least) {
                throw FormatException.atByte(source, file.size(), "the end of the file", element.count() + " × " + element.name() + " of "
                        + (element.hasLists() ? "at least " : "") + least + " bytes each from byte " + in.offset() + " on");
            }
            switch (element.name()) {
                case "vertex" -> readVertices(element, in);
                case "face" -> readFaces(element, in);
                default -> skipElement(element, in);
            }
        }
        if (in.left() > 0) {
            trailing(new Place.Byte(source, in.offset()));
        }
    }

    private void trailing(Place where) {
        notices.warn("trailing-data", "the file goes on behind its last element", "look whether it was written whole", where);
    }

    private void readVertices(Element element, BinaryInput in) throws IOException {
        List<Column> columns = columns(element);
        if (element.hasLists()) {
            for (int v = 0; v < vertexCount; v++) {
                for (Column column : columns) {
                    Property p = column.property;
                    if (p.countType() != null) {
                        skipList(p, in);
                    } else {
                        in.need(p.type().size, "vertex " + v);
                        column.put(v, value(p.type(), in.bytes(), in.at()));
                        in.advance(p.type().size);
                    }
                }
            }
        } else {
            readTable(columns, (int) element.leastSize(), in);
        }
        finishVertices(columns);
    }

    /** As many records at a time as the window holds, column by column: the loops over one type are what the JIT makes fast. */
    private void readTable(List<Column> columns, int recordSize, BinaryInput in) throws IOException {
        int done = 0;
        while (done < vertexCount) {
            in.need(recordSize, "vertex " + done + " of " + vertexCount);
            int count = Math.min(vertexCount - done, in.available() / recordSize);
            int offset = in.at();
            for (Column column : columns) {
                copyColumn(column, in.bytes(), offset, recordSize, done, count);
                offset += column.property.type().size;
            }
            in.advance(count * recordSize);
            done += count;
        }
    }

    private void copyColumn(Column column, byte[] bytes, int offset, int recordSize, int first, int count) {
        PlyType type = column.property.type();
        boolean big = bigEndian;
        if (type == PlyType.FLOAT32) {
            float[] dest = column.dest;
            int at = offset;
            int to = first * column.stride + column.component;
            for (int i = 0; i < count; i++) {
                dest[to] = Float.intBitsToFloat(PlyType.int32(bytes, at, big));
                at += recordSize;
                to += column.stride;
            }
        } else if (type == PlyType.UINT8) {
            float[] dest = column.dest;
            float one = column.one;
            int to = first * column.stride + column.component;
            for (int i = 0; i < count; i++) {
                dest[to] = (bytes[offset + i * recordSize] & 0xff) / one;
                to += column.stride;
            }
        } else {
            for (int i = 0; i < count; i++) {
                column.put(first + i, value(type, bytes, offset + i * recordSize));
            }
        }
    }

    private double value(PlyType type, byte[] bytes, int at) {
        return switch (type) {
            case FLOAT32 -> Float.intBitsToFloat(PlyType.int32(bytes, at, bigEndian));
            case FLOAT64 -> PlyType.float64(bytes, at, bigEndian);
            default -> type.integer(bytes, at, bigEndian);
        };
    }

    @SuppressWarnings("ReferenceEquality") // the list is one of the properties themselves, and this runs once a property and face
    private void readFaces(Element element, BinaryInput in) throws IOException {
        Property list = startFaces(element);
        PlyType countType = Objects.requireNonNull(list.countType());
        // Each corner takes bytes of the file, so the file's size bounds what is allocated here.
        corners = new IntList((int) Math.min(LONGEST_ARRAY, Math.min(3 * element.count(), in.left() / list.type().size)));
        boolean simple = element.properties().size() == 1 && countType.size == 1 && list.type().size == 4;
        for (long f = 0; f < element.count(); f++) {
            if (simple) {
                in.need(1, "a face");
                int n = in.bytes()[in.at()] & 0xff;
                if (n == 3 && in.available() >= 13) { // nearly always
                    int at = in.at() + 1;
                    byte[] b = in.bytes();
                    addTriangle(f, PlyType.int32(b, at, bigEndian), PlyType.int32(b, at + 4, bigEndian),
                            PlyType.int32(b, at + 8, bigEndian), in);
                    in.advance(13);
                    continue;
                }
            }
            for (Property p : element.properties()) {
                if (p == list) {
                    readCorners(p, f, in);
                } else if (p.countType() != null) {
                    skipList(p, in);
                } else {
                    in.skip(p.type().size, "face " + f);
                }
            }
        }
    }

    private void addTriangle(long face, int a, int b, int c, BinaryInput in) throws FormatException {
        int n = vertexCount;
        if (Integer.compareUnsigned(a, n) >= 0 || Integer.compareUnsigned(b, n) >= 0 || Integer.compareUnsigned(c, n) >= 0) {
            int wrong = Integer.compareUnsigned(a, n) >= 0 ? a : Integer.compareUnsigned(b, n) >= 0 ? b : c;
            throw FormatException.atByte(source, in.offset(), "vertex number " + wrong + " in face " + face, "0 … " + (n - 1));
        }
        corners.add(a);
        corners.add(b);
        corners.add(c);
        endFace(3);
    }

    private void endFace(int size) {
        IntList list = sizes;
        if (list == null && size != 3) {
            list = new IntList(faceCount + 16);
            list.fill(3, faceCount);
            sizes = list;
        }
        if (list != null) {
            list.add(size);
        }
        faceCount++;
    }

    private void readCorners(Property p, long face, BinaryInput in) throws IOException {
        int count = listLength(p, in);
        int first = corners.size();
        PlyType type = p.type();
        if (count >= 3) {
            room(count);
        }
        for (int i = 0; i < count; i++) {
            in.need(type.size, "corner " + i + " of face " + face);
            long index = type.integer(in.bytes(), in.at(), bigEndian);
            if (index < 0 || index >= vertexCount) {
                throw FormatException.atByte(source, in.offset(), "vertex number " + index + " in face " + face,
                        "0 … " + (vertexCount - 1));
            }
            corners.add((int) index);
            in.advance(type.size);
        }
        if (count < 3) {
            corners.truncate(first);
            smallFace(new Place.Element("face", face));
        } else {
            endFace(count);
        }
    }

    private void room(int more) throws FormatException {
        if (3L * ((long) corners.size() + more - 2L * faceCount) > LONGEST_ARRAY) {
            throw FormatException.ofFile(source, "has more than 715 million triangles: split it");
        }
    }

    private void smallFace(Place place) {
        notices.warn("small-face", "{count} faces have fewer than three corners and were left out", "remove them and export again", place);
    }

    /** Reads a list's length; the file has at least so many bytes left. */
    private int listLength(Property p, BinaryInput in) throws IOException {
        PlyType countType = Objects.requireNonNull(p.countType());
        in.need(countType.size, "the length of a list " + p.name());
        long at = in.offset();
        long count = countType.integer(in.bytes(), in.at(), bigEndian);
        in.advance(countType.size);
        if (count < 0) {
            throw FormatException.atByte(source, at, "a list " + p.name() + " of " + count + " values", "0 values or more");
        }
        if (count > in.left() / p.type().size) {
            throw FormatException.atByte(source, file.size(), "the end of the file",
                    "a list " + p.name() + " of " + count + " values (begins at byte " + at + ")");
        }
        return (int) Math.min(count, LONGEST_ARRAY);
    }

    private void skipList(Property p, BinaryInput in) throws IOException {
        long count = listLength(p, in);
        in.skip(count * p.type().size, "a list " + p.name());
    }

    private void skipElement(Element element, BinaryInput in) throws IOException {
        noteElement(element);
        if (!element.hasLists()) {
            in.skip(element.count() * element.leastSize(), element.name()); // no overflow: checked against the file's size
            return;
        }
        for (long i = 0; i < element.count(); i++) {
            for (Property p : element.properties()) {
                if (p.countType() != null) {
                    skipList(p, in);
                } else {
                    in.skip(p.type().size, element.name() + " " + i);
                }
            }
        }
    }

    private void noteElement(Element element) {
        if (element.count() > 0) {
            notices.note("element-passed-over", "{count} kinds of elements are not read here",
                    "nothing needs to be done if they are not wanted; the first is "
                            + FormatException.quote(element.name()),
                    new Place.Line(source, element.line()));
        }
    }

    // Text

    private void readText() throws IOException {
        // A value and the blank behind it take two bytes; a record at least one.
        for (Element element : header.elements) {
            long least = Math.max(1, 2L * element.properties().size());
            if (!element.properties().isEmpty() && element.count() > (file.size() - file.position() + 1) / least) {
                throw FormatException.atByte(source, file.size(), "the end of the file",
                        element.count() + " × " + element.name() + " of at least " + element.properties().size() + " values each");
            }
        }
        Text text = new Text(file, header.lines);
        for (Element element : header.elements) {
            switch (element.name()) {
                case "vertex" -> readVertices(element, text);
                case "face" -> readFaces(element, text);
                default -> {
                    noteElement(element);
                    for (long i = 0; i < (element.properties().isEmpty() ? 0 : element.count()); i++) {
                        text.startRecord(element.name(), i);
                        text.cursor.skipLine();
                    }
                }
            }
        }
        if (text.lines.toNextWord()) {
            trailing(text.lines.place());
        }
    }

    /** Lines of values: one a record. */
    private static final class Text {
        private final TextLines lines;
        private final TextCursor cursor;

        Text(FileSource file, long headerLines) {
            lines = new TextLines(file, headerLines);
            cursor = lines.cursor();
        }

        void startRecord(String element, long index) throws IOException {
            if (!lines.toNextWord()) {
                throw lines.ended(element + " " + index);
            }
        }

        void endRecord(String element) throws FormatException {
            if (!cursor.endLine()) {
                throw lines.wrong("the end of the line: the header names no more values for a " + element);
            }
        }

        double value(Property p) throws FormatException {
            cursor.skipBlanks();
            double value = p.type() == PlyType.FLOAT64 || (p.type().size == 4 && p.type() != PlyType.FLOAT32)
                    ? cursor.exactNumber()
                    : cursor.number();
            if (cursor.failed()) {
                throw lines.wrong("a number for " + p.name());
            }
            return value;
        }

        int integer(String what) throws FormatException {
            cursor.skipBlanks();
            int value = cursor.integer();
            if (cursor.failed() || !cursor.atWordEnd()) {
                throw lines.wrong(what);
            }
            return value;
        }

        void skipList(Property p) throws FormatException {
            int count = integer("the length of a list " + p.name());
            for (int i = 0; i < count; i++) {
                value(p);
            }
        }
    }

    private void readVertices(Element element, Text text) throws IOException {
        List<Column> columns = columns(element);
        for (int v = 0; v < vertexCount; v++) {
            text.startRecord("vertex", v);
            for (Column column : columns) {
                if (column.property.isList()) {
                    text.skipList(column.property);
                } else {
                    column.put(v, text.value(column.property));
                }
            }
            text.endRecord("vertex");
        }
        finishVertices(columns);
    }

    @SuppressWarnings("ReferenceEquality") // as above
    private void readFaces(Element element, Text text) throws IOException {
        Property list = startFaces(element);
        corners = new IntList((int) Math.min(LONGEST_ARRAY, Math.min(3 * element.count(), file.size() / 2)));
        for (long f = 0; f < element.count(); f++) {
            text.startRecord("face", f);
            for (Property p : element.properties()) {
                if (p == list) {
                    readCorners(text);
                } else if (p.isList()) {
                    text.skipList(p);
                } else {
                    text.value(p);
                }
            }
            text.endRecord("face");
        }
    }

    private void readCorners(Text text) throws IOException {
        int count = text.integer("the number of corners");
        int first = corners.size();
        if (count >= 3) {
            room(count);
        }
        for (int i = 0; i < count; i++) {
            text.cursor.skipBlanks();
            int index = text.cursor.integer();
            if (text.cursor.failed() || !text.cursor.atWordEnd()) {
                throw text.lines.wrong("a vertex number");
            }
            if (index < 0 || index >= vertexCount) {
                throw FormatException.atLine(source, text.lines.line(), "vertex number " + index,
                        "0 … " + (vertexCount - 1));
            }
            corners.add(index);
        }
        if (count < 3) {
            corners.truncate(first);
            smallFace(text.lines.place());
        } else {
            endFace(count);
        }
    }

    // Both

    /** Makes room for the vertices; the file has at least so many bytes. */
    private List<Column> columns(Element element) throws IOException {
        List<Column> columns = new ArrayList<>();
        Map<String, Column> byName = new HashMap<>(); // looked up only
        if (element.properties().size() > MOST_COLUMNS) {
            throw FormatException.atLine(source, element.line(), element.properties().size() + " properties of a vertex",
                    "at most " + MOST_COLUMNS);
        }
        Set<String> taken = new HashSet<>();
        for (Property p : element.properties()) {
            Column column = new Column(p);
            columns.add(column);
            if (p.isList()) {
                notices.note("list-passed-over", "{count} lists of vertices are not read here",
                        "nothing needs to be done if they are not wanted",
                        new Place.Line(source, p.line()));
            } else {
                if (byName.putIfAbsent(p.name(), column) != null) {
                    throw FormatException.atLine(source, p.line(), "a second vertex property " + FormatException.quote(p.name()), "one");
                }
            }
        }
        long floats = (long) byName.size() * vertexCount;
        file.reserve(4 * floats);
        positions = group(byName, taken, POSITION, false);
        if (positions == null) {
            throw FormatException.atLine(source, element.line(), "a vertex without x, y and z", "all three");
        }
        normals = group(byName, taken, NORMAL, false);
        uvs = group(byName, taken, UV, false);
        colours = group(byName, taken, COLOUR, true);
        for (Column column : columns) {
            Property p = column.property;
            if (!p.isList() && !taken.contains(p.name())) {
                column.dest = new float[vertexCount];
                extras.add(new Attributes(p.name(), new Group(column.dest, 1, p.type().storage())));
            }
        }
        return columns;
    }

    private @Nullable Group group(Map<String, Column> byName, Set<String> taken, String[][] choices, boolean shares) {
        for (String[] names : choices) {
            List<Column> columns = Stream.of(names).map(byName::get).filter(Objects::nonNull).toList();
            if (columns.size() == names.length) {
                float[] dest = new float[Math.multiplyExact(names.length, vertexCount)];
                PlyType type = columns.get(0).property.type();
                for (int k = 0; k < names.length; k++) {
                    Column column = columns.get(k);
                    column.dest = dest;
                    column.stride = names.length;
                    column.component = k;
                    column.one = shares ? column.property.type().one() : 1;
                    taken.add(names[k]);
                }
                Attribute.Storage storage = !shares
                        ? Attribute.Storage.FLOAT
                        : type == PlyType.UINT8
                                ? Attribute.Storage.UNIT_BYTE
                                : type == PlyType.UINT16 ? Attribute.Storage.UNIT_SHORT : Attribute.Storage.FLOAT;
                return new Group(dest, names.length, storage);
            }
        }
        return null;
    }

    private void finishVertices(List<Column> columns) {
        double worst = 0;
        String name = "";
        for (Column column : columns) {
            if (column.worstRounding > worst) {
                worst = column.worstRounding;
                name = column.property.name();
            }
        }
        if (worst > 0) {
            notices.note("rounded-to-float", "values were rounded from double or long numbers to float",
                    String.format(Locale.ROOT, "the largest change is %.3g in %s; if that is too much, move the mesh to the origin first",
                            worst, name));
        }
    }

    private Property startFaces(Element element) throws IOException {
        Property list = null;
        for (Property p : element.properties()) {
            if (list == null && p.isList() && CORNER_LISTS.contains(p.name())) {
                list = p;
                if (p.type().isFloat()) {
                    throw FormatException.atLine(source, p.line(), "vertex numbers of type " + p.type().oldName, "a whole number type");
                }
            } else {
                notices.note("face-property-passed-over", "{count} properties of faces are not read here",
                        "nothing needs to be done if they are not wanted; the first is " + FormatException.quote(p.name()),
                        new Place.Line(source, p.line()));
            }
        }
        if (list == null) {
            throw FormatException.atLine(source, element.line(), "faces without a list vertex_indices",
                    "property list uchar int vertex_indices");
        }
        file.reserve(4 * Math.min(3 * element.count(), file.size()) * 2);
        return list;
    }

    private Mesh assemble() {
        file.task().check();
        Group p = Objects.requireNonNull(positions);
        IntList sizeList = sizes;
        int[] list = corners.take();
        PolygonTriangles triangles = PolygonTriangles.of(p.values, list, sizeList == null ? null : sizeList.take(), file.task());
        int[] indices = triangles.spread(list);
        String name = FileSource.stem(file.path());
        Mesh.Builder mesh = Mesh.builder(p.values, indices).name(name).polygons(triangles.polygons()).parts(List.of(new Part(name)), null);
        notices.checkFinite("positions", "vertex", p.values, 3);
        if (normals != null) {
            notices.checkFinite("normals", "normal", normals.values, 3);
            mesh.normals(new Attribute("normal", 3, normals.values, indices));
        }
        if (uvs != null) {
            notices.checkFinite("UVs", "uv", uvs.values, 2);
            mesh.uvSet(new Attribute("uv", 2, uvs.values, indices));
        }
        if (colours != null) {
            notices.checkFinite("colours", "vertex", colours.values, colours.components);
            mesh.colourSet(new Attribute("colour", colours.components, colours.values, indices, colours.storage));
        }
        for (Attributes extra : extras) {
            mesh.extra(new Attribute(extra.name, 1, extra.group.values, indices, extra.group.storage));
        }
        return mesh.findings(notices.findings()).build();
    }
}
