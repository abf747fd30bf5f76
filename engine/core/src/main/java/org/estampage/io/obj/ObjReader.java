package org.estampage.io.obj;

import java.io.IOException;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import org.estampage.finding.Place;
import org.estampage.finding.Severity;
import org.estampage.io.format.FormatException;
import org.estampage.io.obj.ObjBlock.Event;
import org.estampage.io.obj.ObjBlock.Notice;
import org.estampage.io.obj.ObjBlock.Noticed;
import org.estampage.io.shared.FileSource;
import org.estampage.io.shared.FloatList;
import org.estampage.io.shared.LabelRuns;
import org.estampage.io.shared.LineChunks;
import org.estampage.io.shared.Notices;
import org.estampage.io.shared.PolygonTriangles;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Labels;
import org.estampage.mesh.Material;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.Part;
import org.estampage.task.Task;
import org.jspecify.annotations.Nullable;

/**
 * Reads one OBJ file: its runs of lines become blocks, the blocks become a mesh.
 *
 * @threads confined to one thread at a time
 */
final class ObjReader {
    private static final int UNSET = -1;

    private final String source;
    private final String stem;
    private final Notices notices = new Notices();
    private final List<ObjBlock> blocks = new ArrayList<>();
    private final MaterialLibrary library;

    // What the statements say, by face.
    private final Map<String, Integer> objectNumbers = new LinkedHashMap<>();
    private final Map<String, Integer> groupNumbers = new LinkedHashMap<>();
    private final Map<String, Integer> materialNumbers = new LinkedHashMap<>();
    private final LabelRuns objects = new LabelRuns(UNSET);
    private final LabelRuns groups = new LabelRuns(UNSET);
    private final LabelRuns materials = new LabelRuns(UNSET);
    private final LabelRuns smoothing = new LabelRuns(0);
    private boolean saysSmoothing;

    private int faceCount;
    private long cornerCount;
    private long positionCount;
    private long uvCount;
    private long normalCount;
    private long lineCount;

    private ObjReader(Path path) {
        source = FileSource.name(path);
        stem = FileSource.stem(path);
        library = new MaterialLibrary(path, notices);
    }

    static Mesh read(Path path, Task task) throws IOException {
        try (FileSource file = FileSource.open(path, task)) {
            return new ObjReader(path).read(file);
        }
    }

    private Mesh read(FileSource file) throws IOException {
        LineChunks chunks = new LineChunks(file);
        ObjParser parser = new ObjParser();
        while (chunks.next()) {
            append(parser.parse(chunks.bytes(), chunks.end()), file);
        }
        if (faceCount == 0) {
            throw FormatException.ofFile(source, "has no faces: export the mesh with faces (f lines of three corners or more)");
        }
        return assemble(file.task());
    }

    /** Takes the next block: turns its relative references and line numbers into absolute ones. */
    private void append(ObjBlock block, FileSource file) throws IOException {
        if (block.problem != null) {
            throw block.problem.at(source, lineCount + 1);
        }
        // Its own arrays now, and as much again for the mesh's.
        file.reserve(2 * block.bytes());
        settle(block, block.cornerPositions, positionCount, "v");
        settle(block, block.cornerUvs, uvCount, "vt");
        settle(block, block.cornerNormals, normalCount, "vn");
        for (Event event : block.events) {
            apply(event);
        }
        collect(block);
        blocks.add(block);
        long corners = cornerCount + block.cornerPositions.length;
        long triangles = corners - 2L * (faceCount + block.faceCount);
        long vertices = positionCount + block.positions.length / 3;
        if (3 * triangles > Integer.MAX_VALUE - 8 || 3 * vertices > Integer.MAX_VALUE - 8) {
            throw FormatException.ofFile(source, "has more than 715 million triangles or vertices: split it");
        }
        cornerCount = corners;
        faceCount += block.faceCount;
        positionCount = vertices;
        uvCount += block.uvs.length / 2;
        normalCount += block.normals.length / 3;
        lineCount += block.lineCount;
    }

    private void settle(ObjBlock block, int @Nullable [] references, long before, String statement) throws FormatException {
        if (references == null) {
            return;
        }
        for (int i = 0; i < references.length; i++) {
            int r = references[i];
            if (r < 0 && r != ObjBlock.NONE) {
                long absolute = before + r + ObjBlock.RELATIVE;
                if (absolute < 0) {
                    throw FormatException.atLine(source, lineCount + 1 + block.lineOf(faceOf(block, i)),
                            "an index " + -absolute + " before the first " + statement, "an index of an existing " + statement);
                }
                references[i] = (int) absolute;
            }
        }
    }

    private static int faceOf(ObjBlock block, int corner) {
        if (block.sizes == null) {
            return corner / 3;
        }
        int face = 0;
        for (int end = block.sizes[0]; end <= corner; end += block.sizes[face]) {
            face++;
        }
        return face;
    }

    private void apply(Event event) throws IOException {
        int face = faceCount + event.face();
        String text = event.text();
        switch (event.statement()) {
            case OBJECT -> objects.set(face, number(objectNumbers, text));
            case GROUP -> groups.set(face, text.isEmpty() ? UNSET : number(groupNumbers, text));
            case MATERIAL -> materials.set(face, text.isEmpty() ? UNSET : number(materialNumbers, text));
            case SMOOTHING -> {
                saysSmoothing = true;
                smoothing.set(face, smoothingGroup(text, lineCount + 1 + event.line()));
            }
            case LIBRARY -> library.read(text, new Place.Line(source, lineCount + 1 + event.line()));
        }
    }

    private static int number(Map<String, Integer> numbers, String name) {
        return numbers.computeIfAbsent(name, n -> numbers.size());
    }

    private int smoothingGroup(String text, long line) {
        if (text.equals("off") || text.isEmpty()) {
            return 0;
        }
        try {
            int group = Integer.parseInt(text);
            if (group >= 0) {
                return group;
            }
        } catch (NumberFormatException e) { // reported below
            if (text.equals("on")) {
                return 1;
            }
        }
        notices.warn("smoothing-group", "{count} smoothing groups are neither a number nor off; they were taken as off",
                "number the smoothing groups, or write s off", new Place.Line(source, line));
        return 0;
    }

    private void collect(ObjBlock block) {
        for (Noticed n : block.noticed) {
            report(n.notice(), 1, n.text(), new Place.Line(source, lineCount + 1 + n.line()));
        }
        for (Notice notice : Notice.values()) {
            long kept = block.noticed.stream().filter(n -> n.notice() == notice).count();
            long count = block.noticeCounts.getOrDefault(notice, 0L);
            if (count > kept) {
                report(notice, count - kept, "");
            }
        }
    }

    private void report(Notice notice, long count, String word, Place... places) {
        switch (notice) {
            case LINE_OR_POINT -> notices.add(Severity.NOTE, "lines-or-points", count, "{count} lines or points (l, p) were passed over",
                    "nothing needs to be done: only faces are baked", places);
            case SMALL_FACE ->
                notices.add(Severity.WARNING, "small-face", count, "{count} faces have fewer than three corners and were left out",
                        "remove them and export again", places);
            case VERTEX_WEIGHT ->
                notices.add(Severity.NOTE, "vertex-weight", count, "{count} vertices have a weight (a fourth value), which was passed over",
                        "nothing needs to be done: weights shape curves, not faces", places);
            case EXTRA_VALUES -> notices.add(Severity.NOTE, "extra-values", count, "{count} lines have more values than are known here",
                    "nothing needs to be done if they are not wanted", places);
            case UNKNOWN -> notices.add(Severity.NOTE, "statement-passed-over", count,
                    "{count} lines begin with a word that is not read here",
                    word.isEmpty() ? "look whether they matter" : "look whether they matter; the first is " + FormatException.quote(word),
                    places);
        }
    }

    private Mesh assemble(Task task) throws FormatException {
        task.check();
        float[] positions = gatherFloats(3, positionCount, b -> b.positions);
        checkRange(positions.length / 3, "v", b -> b.cornerPositions);
        checkRange(uvCount, "vt", b -> b.cornerUvs);
        checkRange(normalCount, "vn", b -> b.cornerNormals);
        task.check();
        int[] corners = gatherCorners(b -> b.cornerPositions);
        int[] sizes = gatherSizes();
        PolygonTriangles triangles = PolygonTriangles.of(positions, corners, sizes, task);
        int[] indices = triangles.spread(corners);
        Mesh.Builder mesh = Mesh.builder(positions, indices).name(stem).polygons(triangles.polygons());
        notices.checkFinite("positions", "vertex", positions, 3);
        addColours(mesh, indices);
        addUvs(mesh, triangles);
        addNormals(mesh, triangles, positions, corners, sizes);
        task.check();
        addLabels(mesh, triangles);
        return mesh.findings(notices.findings()).build();
    }

    private interface Floats {
        float[] of(ObjBlock block);
    }

    private interface Ints {
        int @Nullable [] of(ObjBlock block);
    }

    private float[] gatherFloats(int components, long count, Floats floats) {
        float[] all = new float[Math.toIntExact(components * count)];
        int at = 0;
        for (ObjBlock block : blocks) {
            float[] some = floats.of(block);
            System.arraycopy(some, 0, all, at, some.length);
            at += some.length;
        }
        return all;
    }

    private int[] gatherCorners(Ints ints) {
        int[] all = new int[(int) cornerCount];
        int at = 0;
        for (ObjBlock block : blocks) {
            int[] some = ints.of(block);
            int length = block.cornerPositions.length;
            if (some == null) {
                Arrays.fill(all, at, at + length, ObjBlock.NONE);
            } else {
                System.arraycopy(some, 0, all, at, length);
            }
            at += length;
        }
        return all;
    }

    private int @Nullable [] gatherSizes() {
        boolean trianglesOnly = true;
        for (ObjBlock block : blocks) {
            trianglesOnly &= block.sizes == null;
        }
        if (trianglesOnly) {
            return null;
        }
        int[] all = new int[faceCount];
        int at = 0;
        for (ObjBlock block : blocks) {
            if (block.sizes == null) {
                Arrays.fill(all, at, at + block.faceCount, 3);
            } else {
                System.arraycopy(block.sizes, 0, all, at, block.faceCount);
            }
            at += block.faceCount;
        }
        return all;
    }

    private void checkRange(long count, String statement, Ints ints) throws FormatException {
        long firstLine = 1;
        for (ObjBlock block : blocks) {
            int[] references = ints.of(block);
            if (references != null) {
                for (int i = 0; i < references.length; i++) {
                    if (references[i] >= count) {
                        throw FormatException.atLine(source, firstLine + block.lineOf(faceOf(block, i)), "index " + (references[i] + 1L),
                                "1 … " + count + ", the number of " + statement + " lines");
                    }
                }
            }
            firstLine += block.lineCount;
        }
    }

    private void addColours(Mesh.Builder mesh, int[] indices) {
        long with = 0;
        for (ObjBlock block : blocks) {
            with += block.colours == null ? 0 : block.positions.length;
        }
        if (with == 0) {
            return;
        }
        float[] all = new float[(int) (3 * positionCount)];
        int at = 0;
        for (ObjBlock block : blocks) {
            int length = block.positions.length;
            if (block.colours == null) {
                Arrays.fill(all, at, at + length, 1);
            } else {
                System.arraycopy(block.colours, 0, all, at, length);
            }
            at += length;
        }
        notices.checkFinite("colours", "vertex", all, 3);
        mesh.colourSet(new Attribute("colour", 3, all, indices));
    }

    private void addUvs(Mesh.Builder mesh, PolygonTriangles triangles) {
        int[] corners = cornersOf(b -> b.cornerUvs);
        if (corners == null && uvCount == 0) {
            return;
        }
        if (corners == null) {
            notices.note("unused-uvs", "no face refers to the texture coordinates (vt); they were passed over", "export faces as v/vt");
            return;
        }
        float[] uvs = gatherFloats(2, uvCount, b -> b.uvs);
        notices.checkFinite("UVs", "uv", uvs, 2);
        long missing = count(corners, ObjBlock.NONE);
        if (missing > 0) { // one more entry; triangles without area in the layout cover no texel
            int zero = uvs.length / 2;
            uvs = Arrays.copyOf(uvs, uvs.length + 2);
            replace(corners, zero);
            notices.add(Severity.WARNING, "missing-uvs", missing,
                    "{count} face corners have no UV while others have one; they were put at (0, 0)",
                    "give all faces UVs");
        }
        mesh.uvSet(new Attribute("uv", 2, uvs, triangles.spread(corners)));
    }

    private void addNormals(Mesh.Builder mesh, PolygonTriangles triangles, float[] positions, int[] corners, int @Nullable [] sizes) {
        int[] normalCorners = cornersOf(b -> b.cornerNormals);
        if (normalCorners == null) {
            if (normalCount > 0) {
                notices.note("unused-normals", "no face refers to the normals (vn); they were passed over", "export faces as v//vn");
            }
            return;
        }
        float[] normals = gatherFloats(3, normalCount, b -> b.normals);
        notices.checkFinite("normals", "normal", normals, 3);
        long missing = count(normalCorners, ObjBlock.NONE);
        if (missing > 0) {
            normals = addFaceNormals(normals, normalCorners, positions, corners, sizes);
            notices.add(Severity.WARNING, "missing-normals", missing,
                    "{count} face corners have no normal while others have one; they were given their face's own",
                    "give all faces normals");
        }
        mesh.normals(new Attribute("normal", 3, normals, triangles.spread(normalCorners)));
    }

    private int @Nullable [] cornersOf(Ints ints) {
        for (ObjBlock block : blocks) {
            if (ints.of(block) != null) {
                return gatherCorners(ints);
            }
        }
        return null;
    }

    private static long count(int[] values, int wanted) {
        long count = 0;
        for (int value : values) {
            count += value == wanted ? 1 : 0;
        }
        return count;
    }

    private static void replace(int[] corners, int by) {
        for (int i = 0; i < corners.length; i++) {
            if (corners[i] == ObjBlock.NONE) {
                corners[i] = by;
            }
        }
    }

    /** Appends the plane normal of each face that has a corner without one. */
    private float[] addFaceNormals(float[] normals, int[] inoutCorners, float[] positions, int[] corners, int @Nullable [] sizes) {
        FloatList more = new FloatList(64);
        int from = 0;
        for (int face = 0; face < faceCount; face++) {
            int end = from + (sizes == null ? 3 : sizes[face]);
            boolean added = false;
            for (int i = from; i < end; i++) {
                if (inoutCorners[i] == ObjBlock.NONE) {
                    if (!added) {
                        addFaceNormal(more, positions, corners, from, end);
                        added = true;
                    }
                    inoutCorners[i] = normals.length / 3 + more.size() / 3 - 1;
                }
            }
            from = end;
        }
        float[] all = Arrays.copyOf(normals, normals.length + more.size());
        System.arraycopy(more.copy(), 0, all, normals.length, more.size());
        return all;
    }

    /** Newell's sum over the edges, about the first corner; (0, 0, 0) where it has no direction. */
    private static void addFaceNormal(FloatList dest, float[] positions, int[] corners, int from, int end) {
        int o = 3 * corners[from];
        double x = 0, y = 0, z = 0;
        for (int i = from + 1; i + 1 < end; i++) {
            int a = 3 * corners[i], b = 3 * corners[i + 1];
            double ax = (double) positions[a] - positions[o], ay = (double) positions[a + 1] - positions[o + 1];
            double az = (double) positions[a + 2] - positions[o + 2];
            double bx = (double) positions[b] - positions[o], by = (double) positions[b + 1] - positions[o + 1];
            double bz = (double) positions[b + 2] - positions[o + 2];
            x += ay * bz - az * by;
            y += az * bx - ax * bz;
            z += ax * by - ay * bx;
        }
        double length = Math.sqrt(x * x + y * y + z * z);
        double scale = length > 0 && length < Double.POSITIVE_INFINITY ? 1 / length : 0;
        dest.add(scale == 0 ? 0 : (float) (x * scale), scale == 0 ? 0 : (float) (y * scale), scale == 0 ? 0 : (float) (z * scale));
    }

    private void addLabels(Mesh.Builder mesh, PolygonTriangles triangles) {
        boolean byObject = isUsed(objects);
        addParts(mesh, triangles, byObject ? objects : groups, byObject ? objectNumbers : groupNumbers);
        if (byObject && isUsed(groups)) {
            mesh.groups(new Labels(List.copyOf(groupNumbers.keySet()), groups.spread(triangles, faceCount, null)));
        }
        if (saysSmoothing) {
            mesh.smoothingGroups(smoothing.spread(triangles, faceCount, null));
        }
        addMaterials(mesh, triangles);
    }

    /** Whether a face has a number. */
    private boolean isUsed(LabelRuns runs) {
        for (int run = 0; run < runs.count(); run++) {
            if (runs.number(run) != UNSET && runs.start(run) < runs.end(run, faceCount)) {
                return true;
            }
        }
        return false;
    }

    /** Parts in the order of their first faces; names without faces are left out, and faces before the first name get the file's. */
    private void addParts(Mesh.Builder mesh, PolygonTriangles triangles, LabelRuns runs, Map<String, Integer> numbers) {
        List<String> names = new ArrayList<>(numbers.keySet());
        LabelRuns byPart = new LabelRuns(0);
        List<Part> parts = new ArrayList<>();
        int[] partOfName = new int[names.size() + 1]; // the last one: no name
        Arrays.fill(partOfName, UNSET);
        for (int run = 0; run < runs.count(); run++) {
            if (runs.start(run) < runs.end(run, faceCount)) {
                int name = runs.number(run) == UNSET ? names.size() : runs.number(run);
                if (partOfName[name] == UNSET) {
                    partOfName[name] = parts.size();
                    parts.add(new Part(name == names.size() ? stem : names.get(name)));
                }
                byPart.set(runs.start(run), partOfName[name]);
            }
        }
        for (int name = 0; name < names.size(); name++) {
            if (partOfName[name] == UNSET) {
                notices.note("empty-part", "{count} parts have no faces and were left out", "nothing needs to be done; the first is "
                        + FormatException.quote(names.get(name)));
            }
        }
        mesh.parts(parts, parts.size() == 1 ? null : byPart.spread(triangles, faceCount, null));
    }

    /** First the libraries' materials in their order, then those that faces name but no library describes. */
    private void addMaterials(Mesh.Builder mesh, PolygonTriangles triangles) {
        Map<String, Material> known = library.materials();
        List<Material> all = new ArrayList<>(known.values());
        Map<String, Integer> order = new LinkedHashMap<>();
        known.keySet().forEach(name -> order.put(name, order.size()));
        int[] renumber = new int[materialNumbers.size()];
        for (Map.Entry<String, Integer> used : materialNumbers.entrySet()) {
            Integer number = order.get(used.getKey());
            if (number == null) {
                number = all.size();
                all.add(Material.named(used.getKey()));
                notices.warn("missing-material", "{count} materials that faces use are described in no material file",
                        "export the material file along; the first is " + FormatException.quote(used.getKey()));
            }
            renumber[used.getValue()] = number;
        }
        if (!all.isEmpty()) {
            boolean one = all.size() == 1 && materials.count() == 1 && materials.number(0) == 0;
            mesh.materials(all, one ? null : materials.spread(triangles, faceCount, renumber));
        }
    }
}
