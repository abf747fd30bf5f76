package org.estampage.io.stl;

import java.io.IOException;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import org.estampage.finding.Finding;
import org.estampage.finding.Place;
import org.estampage.finding.Severity;
import org.estampage.io.format.FormatException;
import org.estampage.io.format.MeshFormat;
import org.estampage.io.shared.BinaryInput;
import org.estampage.io.shared.FileSource;
import org.estampage.io.shared.IntList;
import org.estampage.io.shared.Notices;
import org.estampage.io.shared.TextCursor;
import org.estampage.io.shared.TextLines;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.Part;
import org.estampage.task.Task;
import org.jspecify.annotations.Nullable;

/**
 * Reads one STL file.
 *
 * @threads confined to one thread at a time
 */
final class StlReader {
    private static final int LARGEST_COUNT = (Integer.MAX_VALUE - 8) / 3;
    /** Positions, indices and hash table, a triangle. */
    private static final long BYTES_PER_TRIANGLE = 2 * 4 + 3 * 4 + 2 * 4;
    /** The keywords of a facet with twelve digits and a blank or end of line behind each word. */
    private static final int SHORTEST_TEXT_FACET = 86;

    private final FileSource file;
    private final String source;
    private final Notices notices = new Notices();
    private final Map<String, Integer> partNumbers = new LinkedHashMap<>();
    private @Nullable IntList partOfTriangle;
    private Welder welder = new Welder(0);
    private long againstWinding;
    private final List<Place> againstPlaces = new ArrayList<>();

    private StlReader(FileSource file) {
        this.file = file;
        source = file.name();
    }

    static Mesh read(Path path, Task task) throws IOException {
        try (FileSource file = FileSource.open(path, task)) {
            return new StlReader(file).read();
        }
    }

    private Mesh read() throws IOException {
        byte[] head = new byte[(int) Math.min(MeshFormat.HEAD_LENGTH, file.size())];
        int length = file.read(head, 0, head.length);
        file.seek(0);
        if (StlFormat.isText(head, file.size())) {
            readText();
        } else {
            readBinary(head, length);
        }
        if (welder.triangleCount() == 0) {
            throw FormatException.ofFile(source, "has no faces: export the mesh with faces");
        }
        return assemble();
    }

    private void readBinary(byte[] head, int length) throws IOException {
        if (length < StlFormat.HEADER) {
            throw FormatException.atByte(source, length, "the end of the file", "a header of 80 bytes and a number of facets");
        }
        long count = BinaryInput.intAt(head, StlFormat.HEADER - 4) & 0xffff_ffffL;
        if (count > (file.size() - StlFormat.HEADER) / StlFormat.FACET) {
            throw FormatException.atByte(source, file.size(), "the end of the file", count + " facets of 50 bytes each from byte 84 on");
        }
        if (count > LARGEST_COUNT) {
            throw FormatException.atByte(source, 80, count + " facets", "at most " + LARGEST_COUNT + ": split the file");
        }
        file.reserve(count * BYTES_PER_TRIANGLE);
        welder = new Welder((int) count);
        BinaryInput in = new BinaryInput(file);
        in.skip(StlFormat.HEADER, "the header");
        long marked = 0;
        int done = 0;
        while (done < count) {
            in.need(StlFormat.FACET, "facet " + done + " of " + count);
            int batch = (int) Math.min(count - done, in.available() / StlFormat.FACET);
            byte[] b = in.bytes();
            int at = in.at();
            for (int i = 0; i < batch; i++) {
                facet(b, at);
                marked += b[at + 48] != 0 || b[at + 49] != 0 ? 1 : 0;
                at += StlFormat.FACET;
            }
            in.advance(batch * StlFormat.FACET);
            done += batch;
        }
        if (marked > 0) {
            notices.add(Severity.NOTE, "facet-bytes", marked, "{count} facets have attribute bytes, which were passed over",
                    "nothing needs to be done: they have no agreed meaning");
        }
        if (in.left() > 0) {
            notices.warn("trailing-data", "the file goes on behind its last facet", "look whether it was written whole",
                    new Place.Byte(source, in.offset()));
        }
    }

    private void facet(byte[] b, int at) {
        float ax = BinaryInput.floatAt(b, at + 12), ay = BinaryInput.floatAt(b, at + 16), az = BinaryInput.floatAt(b, at + 20);
        float bx = BinaryInput.floatAt(b, at + 24), by = BinaryInput.floatAt(b, at + 28), bz = BinaryInput.floatAt(b, at + 32);
        float cx = BinaryInput.floatAt(b, at + 36), cy = BinaryInput.floatAt(b, at + 40), cz = BinaryInput.floatAt(b, at + 44);
        compare(BinaryInput.floatAt(b, at), BinaryInput.floatAt(b, at + 4), BinaryInput.floatAt(b, at + 8), ax, ay, az, bx, by, bz, cx, cy,
                cz);
        welder.add(ax, ay, az);
        welder.add(bx, by, bz);
        welder.add(cx, cy, cz);
    }

    /** Counts facets whose normal points to the triangle's back; a zero normal says nothing. */
    private void compare(float nx, float ny, float nz, float ax, float ay, float az, float bx, float by, float bz, float cx, float cy,
            float cz) {
        double ux = (double) bx - ax, uy = (double) by - ay, uz = (double) bz - az;
        double vx = (double) cx - ax, vy = (double) cy - ay, vz = (double) cz - az;
        double dot = nx * (uy * vz - uz * vy) + ny * (uz * vx - ux * vz) + nz * (ux * vy - uy * vx);
        if (dot < 0) {
            if (againstWinding++ < Finding.MAX_PLACES) {
                againstPlaces.add(new Place.Element("triangle", welder.triangleCount()));
            }
        }
    }

    private void readText() throws IOException {
        long most = file.size() / SHORTEST_TEXT_FACET;
        file.reserve(most * BYTES_PER_TRIANGLE);
        welder = new Welder((int) Math.min(LARGEST_COUNT, most / 3)); // usual facets take three times the shortest
        TextLines lines = new TextLines(file, 0);
        IntList parts = new IntList(16);
        partOfTriangle = parts;
        while (lines.toNextWord()) {
            if (!lines.cursor().take("solid")) {
                if (partNumbers.isEmpty()) {
                    throw lines.wrong("solid");
                }
                notices.warn("trailing-data", "the file goes on behind its last solid", "look whether it was written whole", lines.place());
                return;
            }
            String name = lines.cursor().rest();
            String shown = name.isEmpty() ? FileSource.stem(file.path()) : name;
            readSolid(lines, partNumbers.computeIfAbsent(shown, n -> partNumbers.size()), parts);
        }
    }

    private void readSolid(TextLines lines, int part, IntList parts) throws IOException {
        TextCursor cursor = lines.cursor();
        float[] corner = new float[12];
        while (true) {
            if (!lines.toNextWord()) {
                notices.warn("unfinished-solid", "the file ends inside a solid, behind a whole facet", "look whether it was written whole",
                        lines.place());
                return;
            }
            if (cursor.take("endsolid")) {
                cursor.rest();
                return;
            }
            take(lines, "facet", "facet or endsolid");
            take(lines, "normal", "normal");
            numbers(lines, corner, 0);
            take(lines, "outer", "outer loop");
            take(lines, "loop", "loop");
            for (int k = 1; k <= 3; k++) {
                take(lines, "vertex", "vertex: a facet has three");
                numbers(lines, corner, 3 * k);
            }
            take(lines, "endloop", "endloop: a facet has three vertices");
            take(lines, "endfacet", "endfacet");
            if (welder.triangleCount() == LARGEST_COUNT) {
                throw lines.wrong("at most " + LARGEST_COUNT + " facets: split the file");
            }
            compare(corner[0], corner[1], corner[2], corner[3], corner[4], corner[5], corner[6], corner[7], corner[8], corner[9],
                    corner[10],
                    corner[11]);
            for (int k = 3; k < 12; k += 3) {
                welder.add(corner[k], corner[k + 1], corner[k + 2]);
            }
            parts.add(part);
        }
    }

    private static void take(TextLines lines, String keyword, String expected) throws IOException {
        if (!lines.toNextWord()) {
            throw lines.ended(expected);
        }
        if (!lines.cursor().take(keyword)) {
            throw lines.wrong(expected);
        }
    }

    private static void numbers(TextLines lines, float[] dest, int from) throws IOException {
        TextCursor cursor = lines.cursor();
        for (int k = 0; k < 3; k++) {
            cursor.skipBlanks();
            dest[from + k] = cursor.number();
            if (cursor.failed()) {
                throw lines.wrong("three numbers");
            }
        }
    }

    private Mesh assemble() {
        file.task().check();
        if (againstWinding > 0) {
            notices.add(Severity.WARNING, "normals-against-winding", againstWinding,
                    "{count} facets have a normal that points to the back of their triangle; the order of their corners was taken as right",
                    "turn the facets or recompute the normals, and export again", againstPlaces.toArray(Place[]::new));
        }
        float[] positions = welder.takePositions();
        notices.checkFinite("positions", "vertex", positions, 3);
        String name = FileSource.stem(file.path());
        Mesh.Builder mesh = Mesh.builder(positions, welder.takeIndices()).name(name);
        addParts(mesh, name);
        return mesh.findings(notices.findings()).build();
    }

    /** Solids without facets are left out. */
    private void addParts(Mesh.Builder mesh, String name) {
        IntList numbers = partOfTriangle;
        if (numbers == null) {
            mesh.parts(List.of(new Part(name)), null);
            return;
        }
        int[] ofTriangle = numbers.take();
        int[] renumber = new int[partNumbers.size()];
        for (int part : ofTriangle) {
            renumber[part] = 1;
        }
        List<Part> parts = new ArrayList<>();
        for (Map.Entry<String, Integer> entry : partNumbers.entrySet()) {
            if (renumber[entry.getValue()] == 1) {
                renumber[entry.getValue()] = parts.size();
                parts.add(new Part(entry.getKey()));
            } else {
                notices.note("empty-part", "{count} parts have no faces and were left out",
                        "nothing needs to be done; the first is " + FormatException.quote(entry.getKey()));
            }
        }
        for (int i = 0; i < ofTriangle.length; i++) {
            ofTriangle[i] = renumber[ofTriangle[i]];
        }
        mesh.parts(parts, parts.size() == 1 ? null : ofTriangle);
    }
}
