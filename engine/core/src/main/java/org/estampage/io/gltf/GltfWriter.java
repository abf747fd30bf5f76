package org.estampage.io.gltf;

import com.fasterxml.jackson.core.util.DefaultIndenter;
import com.fasterxml.jackson.core.util.DefaultPrettyPrinter;
import com.fasterxml.jackson.databind.ObjectMapper;
import com.fasterxml.jackson.databind.node.ArrayNode;
import com.fasterxml.jackson.databind.node.ObjectNode;
import java.io.IOException;
import java.io.OutputStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.IdentityHashMap;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import org.estampage.finding.Finding;
import org.estampage.finding.Findings;
import org.estampage.finding.Severity;
import org.estampage.io.format.AtomicFile;
import org.estampage.io.shared.BinaryInput;
import org.estampage.io.shared.FileSource;
import org.estampage.io.shared.IntList;
import org.estampage.io.shared.NotCarried;
import org.estampage.io.shared.Notices;
import org.estampage.io.shared.VertexSplit;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Labels;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.MeshSubset;
import org.estampage.mesh.Tangents;
import org.estampage.task.Task;
import org.jspecify.annotations.Nullable;
import org.joml.Matrix4f;

/**
 * Writes one model.
 *
 * @threads confined to one thread at a time
 */
final class GltfWriter {
    private static final int BUFFER = 1 << 16;
    private static final int GLB_HEADER = 12;
    private static final int CHUNK_HEADER = 8;
    static final int JSON_CHUNK = 0x4e4f534a;
    static final int BINARY_CHUNK = 0x004e4942;
    /** The largest unsigned short is no index: it once began a new strip. */
    private static final int MOST_SHORT_VERTICES = 65535;

    private final GltfModel model;
    private final Path path;
    private final Task task;
    private final boolean binary;
    private final Notices notices = new Notices();
    private final NotCarried lost = new NotCarried("glTF");
    private final GltfDocument document = new GltfDocument();
    private final MaterialWriter materials;
    private final Task.Stage stage;
    private long copies;

    GltfWriter(GltfModel model, Path path, Task task) {
        this.model = model;
        this.path = path;
        this.task = task;
        binary = !FileSource.name(path).toLowerCase(Locale.ROOT).endsWith(".gltf");
        materials = new MaterialWriter(document, path, !binary || model.texturesAreBeside(), notices, lost);
        long triangles = model.shapes().stream().flatMap(s -> s.levels().stream()).mapToLong(Mesh::triangleCount).sum();
        stage = task.stage("writing " + FileSource.name(path), triangles);
    }

    /** Returns text that UTF-8 can hold: half characters become question marks. */
    static String text(String name) {
        return new String(name.getBytes(StandardCharsets.UTF_8), StandardCharsets.UTF_8);
    }

    Findings write() throws IOException {
        List<Integer> roots = new ArrayList<>();
        for (GltfModel.Shape shape : model.shapes()) {
            addShape(shape, roots);
        }
        ObjectNode buffer = GltfDocument.object();
        if (binary) {
            writeFiles(out -> writeBinary(document.tree(roots, buffer), out), null);
        } else {
            String file = FileSource.stem(path) + ".bin";
            byte[] json = json(document.tree(roots, buffer.put("uri", Uris.encoded(file))), true);
            writeFiles(out -> out.write(json), path.resolveSibling(file));
        }
        if (copies > 0) {
            notices.add(Severity.NOTE, "split-vertices", copies,
                    "{count} vertices were written again, behind the others, since glTF has one normal, UV and colour a vertex",
                    "nothing needs to be done: reading the file here joins them again");
        }
        List<Finding> findings = new ArrayList<>(lost.findings());
        findings.addAll(notices.findings());
        return Findings.of(findings);
    }

    /** Writes the model, and before it takes its name, what it refers to. */
    private void writeFiles(AtomicFile.Body body, @Nullable Path buffer) throws IOException {
        AtomicFile.write(path, task, out -> {
            body.write(out);
            out.flush();
            for (GltfTexture texture : materials.files().values()) {
                AtomicFile.write(path.resolveSibling(texture.fileName()), task, o -> o.write(texture.bytes()));
            }
            if (buffer != null) {
                AtomicFile.write(buffer, task, document::writeBuffer);
            }
        });
    }

    private static byte[] json(ObjectNode tree, boolean readable) throws IOException {
        ObjectMapper mapper = new ObjectMapper();
        if (!readable) {
            return mapper.writeValueAsBytes(tree);
        }
        DefaultPrettyPrinter printer = new DefaultPrettyPrinter();
        printer.indentObjectsWith(new DefaultIndenter("  ", "\n"));
        return mapper.writer(printer).writeValueAsBytes(tree);
    }

    private void writeBinary(ObjectNode tree, OutputStream out) throws IOException {
        byte[] json = json(tree, false);
        int padding = (4 - json.length % 4) % 4;
        long total = (long) GLB_HEADER + CHUNK_HEADER + json.length + padding + CHUNK_HEADER + document.size();
        if (total > 0xffff_ffffL) {
            throw new IOException(FileSource.name(path) + " would have " + total + " bytes, a GLB holds 4,294,967,295: write a .gltf");
        }
        byte[] head = new byte[GLB_HEADER + CHUNK_HEADER];
        BinaryInput.putInt(head, 0, GltfFormat.MAGIC);
        BinaryInput.putInt(head, 4, 2);
        BinaryInput.putInt(head, 8, (int) total);
        BinaryInput.putInt(head, 12, json.length + padding);
        BinaryInput.putInt(head, 16, JSON_CHUNK);
        out.write(head);
        out.write(json);
        out.write("    ".getBytes(StandardCharsets.US_ASCII), 0, padding);
        BinaryInput.putInt(head, 0, (int) document.size());
        BinaryInput.putInt(head, 4, BINARY_CHUNK);
        out.write(head, 0, CHUNK_HEADER);
        document.writeBuffer(out);
    }

    // Nodes

    private void addShape(GltfModel.Shape shape, List<Integer> roots) {
        if (shape.levels().size() == 1) {
            roots.addAll(addParts(shape.levels().get(0)));
            return;
        }
        int finest = addLevel(shape.levels().get(0));
        ObjectNode node = document.element("nodes", finest);
        ArrayNode ids = node.putObject("extensions").putObject("MSFT_lod").putArray("ids");
        for (Mesh level : shape.levels().subList(1, shape.levels().size())) {
            ids.add(addLevel(level));
        }
        document.use("MSFT_lod");
        roots.add(finest);
    }

    /** Adds a level of detail as one node, and returns its number. */
    private int addLevel(Mesh mesh) {
        List<Integer> parts = addParts(mesh);
        if (parts.size() == 1) {
            return parts.get(0);
        }
        ObjectNode group = GltfDocument.object().put("name", text(mesh.name()));
        ArrayNode children = group.putArray("children");
        parts.forEach(children::add);
        return document.add("nodes", group);
    }

    private List<Integer> addParts(Mesh original) {
        int[] materialOf = materials(original);
        Mesh mesh = withTangents(original, materialOf);
        noteLost(mesh);
        Labels labels = mesh.partLabels();
        Map<Integer, IntList> triangles = new java.util.TreeMap<>();
        if (mesh.parts().size() > 1) {
            for (int t = 0; t < mesh.triangleCount(); t++) {
                triangles.computeIfAbsent(labels.of(t), p -> new IntList(16)).add(t);
            }
        }
        if (triangles.size() < 2) {
            int part = triangles.isEmpty() ? 0 : triangles.keySet().iterator().next();
            noteEmptyParts(mesh, 1);
            return List.of(addNode(partName(mesh, part), mesh, materialOf));
        }
        noteEmptyParts(mesh, (int) triangles.keySet().stream().filter(p -> p >= 0).count());
        List<Integer> nodes = new ArrayList<>();
        triangles.forEach((part, list) -> {
            int[] numbers = list.take();
            int[] picked = new int[numbers.length];
            for (int i = 0; i < picked.length; i++) {
                picked[i] = materialOf[numbers[i]];
            }
            nodes.add(addNode(partName(mesh, part), MeshSubset.of(mesh, numbers), picked));
        });
        return nodes;
    }

    private static String partName(Mesh mesh, int part) {
        return part < 0 ? mesh.name() : mesh.parts().get(part).name();
    }

    private void noteEmptyParts(Mesh mesh, int used) {
        int empty = mesh.parts().size() - used;
        if (empty > 0) {
            notices.add(Severity.NOTE, "empty-part", empty, "{count} parts have no faces and were left out", "nothing needs to be done");
        }
    }

    private void noteLost(Mesh mesh) {
        mesh.groupLabels().ifPresent(groups -> groups.names().forEach(name -> lost.add("groups", name)));
        if (mesh.smoothingGroups() != null) {
            lost.add("smoothing groups", "all");
        }
        mesh.polygons().ifPresent(polygons -> notices.add(Severity.NOTE, "polygons-cut", polygons.count(),
                "{count} polygons were written as the triangles that they are baked as, since glTF has no others",
                "save as OBJ to keep polygons"));
        long moved = mesh.parts().stream().filter(p -> !p.meshFromPart().equals(new Matrix4f())).count();
        if (moved > 0) {
            notices.add(Severity.NOTE, "transforms-applied", moved,
                    "{count} parts had a transform; their nodes have none now, their vertices stay",
                    "nothing needs to be done unless pivots are needed");
        }
        if (mesh.extras().stream().anyMatch(e -> e.name().equals("JOINTS_0"))) {
            notices.note("skin-without-joints", "joints and weights of a skin were written; the joints' nodes and bind matrices were not",
                    "bind the mesh to its skeleton again: the numbers of the joints are the old ones");
        }
    }

    // Materials

    /** Returns the number of each triangle's material in the file, −1 for none. */
    private int[] materials(Mesh mesh) {
        int[] numbers = new int[mesh.materials().size()];
        for (int m = 0; m < numbers.length; m++) {
            GltfMaterial given = model.materialFor(mesh.materials().get(m).name());
            numbers[m] = given == null ? materials.number(mesh.materials().get(m), !mesh.uvSets().isEmpty()) : materials.number(given);
        }
        GltfMaterial rest = model.materialFor(null);
        int none = rest == null ? -1 : materials.number(rest);
        Labels labels = mesh.materialLabels().orElse(null);
        int[] ofTriangle = new int[mesh.triangleCount()];
        for (int t = 0; t < ofTriangle.length; t++) {
            int label = labels == null ? -1 : labels.of(t);
            ofTriangle[t] = label < 0 ? none : numbers[label];
        }
        return ofTriangle;
    }

    private Mesh withTangents(Mesh mesh, int[] materialOf) {
        boolean[] worn = new boolean[document.count("materials")];
        for (int m : materialOf) {
            if (m >= 0) {
                worn[m] = true;
            }
        }
        boolean textures = false, normalMap = false;
        for (int m = 0; m < worn.length; m++) {
            textures |= worn[m] && materials.hasTextures(m);
            normalMap |= worn[m] && materials.hasNormalTexture(m) && (mesh.normals().isPresent() || materials.isGiven(m));
        }
        if (textures && mesh.uvSets().isEmpty()) {
            throw new IllegalArgumentException(mesh.name() + " has no UVs, which its materials' textures need; lay it flat first");
        }
        if (!normalMap || (mesh.tangents().isPresent() && mesh.normals().isPresent())) {
            return mesh;
        }
        return mesh.toBuilder().tangents(Tangents.mikkTSpace(mesh)).build();
    }

    // Geometry

    private int addNode(String name, Mesh mixed, int[] materialOf) {
        task.check();
        Map<Integer, IntList> triangles = byMaterial(materialOf);
        Mesh mesh = sorted(withoutUnused(mixed), triangles);
        List<Semantics.Column> columns = Semantics.of(mesh, notices, lost);
        VertexSplit split = VertexSplit.of(mesh, columns.stream().map(Semantics.Column::attribute).toList());
        copies += split.copies();
        ObjectNode attributes = GltfDocument.object();
        attributes.put(Semantics.POSITION, addPositions(mesh, split));
        ObjectNode names = GltfDocument.object();
        for (Semantics.Column column : columns) {
            attributes.put(column.semantic(), addColumn(mesh, split, column));
            if (!column.name().equals(Semantics.defaultName(column.semantic()))) {
                names.put(column.semantic(), text(column.name()));
            }
        }
        ObjectNode json = GltfDocument.object().put("name", text(name));
        ArrayNode primitives = json.putArray("primitives");
        int first = 0;
        for (Map.Entry<Integer, IntList> entry : triangles.entrySet()) {
            ObjectNode primitive = primitives.addObject();
            primitive.set("attributes", attributes);
            primitive.put("indices", addIndices(split, first, entry.getValue().size()));
            if (entry.getKey() >= 0) {
                primitive.put("material", entry.getKey());
            }
            first += entry.getValue().size();
        }
        if (!names.isEmpty()) {
            json.putObject("extras").set(Semantics.NAMES, names);
        }
        return document.add("nodes", GltfDocument.object().put("name", text(name)).put("mesh", document.add("meshes", json)));
    }

    /** Returns a mesh without the vertices that no triangle uses: in a delivery they are of no use, and most attributes say nothing of them. */
    private Mesh withoutUnused(Mesh mesh) {
        int[] number = new int[mesh.vertexCount()];
        for (int v : mesh.positionIndices()) {
            number[v] = 1;
        }
        float[] positions = new float[mesh.positions().length];
        int count = 0;
        for (int v = 0; v < number.length; v++) {
            if (number[v] > 0) {
                System.arraycopy(mesh.positions(), 3 * v, positions, 3 * count, 3);
                number[v] = count++;
            }
        }
        if (count == number.length) {
            return mesh;
        }
        notices.add(Severity.NOTE, "unused-vertices", number.length - count, "{count} vertices that no triangle uses were left out",
                "save as PLY to keep them");
        int[] corners = mesh.positionIndices().clone();
        for (int c = 0; c < corners.length; c++) {
            corners[c] = number[corners[c]];
        }
        Mesh.Builder b = Mesh.builder(Arrays.copyOf(positions, 3 * count), corners).normals(mesh.normals().orElse(null))
                .tangents(mesh.tangents().orElse(null));
        mesh.uvSets().forEach(b::uvSet);
        mesh.colourSets().forEach(b::colourSet);
        mesh.extras().forEach(b::extra);
        return b.build();
    }

    /** Returns the triangles of each material, in the order in which materials first come. */
    private static Map<Integer, IntList> byMaterial(int[] materialOf) {
        Map<Integer, IntList> lists = new LinkedHashMap<>();
        for (int t = 0; t < materialOf.length; t++) {
            lists.computeIfAbsent(materialOf[t], m -> new IntList(16)).add(t);
        }
        return lists;
    }

    /** Returns a mesh with its triangles in the order of those lists: primitives are stretches of it, and vertices are repeated in their order. */
    private static Mesh sorted(Mesh mesh, Map<Integer, IntList> triangles) {
        int[] corners = new int[3 * mesh.triangleCount()];
        int at = 0;
        boolean same = true;
        for (IntList list : triangles.values()) {
            for (int i = 0; i < list.size(); i++) {
                for (int k = 0; k < 3; k++) {
                    corners[at] = 3 * list.get(i) + k;
                    same &= corners[at] == at;
                    at++;
                }
            }
        }
        if (same) {
            return mesh;
        }
        IdentityHashMap<int[], int[]> done = new IdentityHashMap<>(); // attributes that share an index list go on sharing it
        Mesh.Builder b = Mesh.builder(mesh.positions(), sorted(mesh.positionIndices(), corners, done));
        mesh.normals().ifPresent(a -> b.normals(sorted(a, corners, done)));
        mesh.tangents().ifPresent(a -> b.tangents(sorted(a, corners, done)));
        mesh.uvSets().forEach(a -> b.uvSet(sorted(a, corners, done)));
        mesh.colourSets().forEach(a -> b.colourSet(sorted(a, corners, done)));
        mesh.extras().forEach(a -> b.extra(sorted(a, corners, done)));
        return b.build();
    }

    private static Attribute sorted(Attribute a, int[] corners, IdentityHashMap<int[], int[]> done) {
        return new Attribute(a.name(), a.components(), a.values(), sorted(a.indices(), corners, done), a.storage());
    }

    private static int[] sorted(int[] ofCorner, int[] corners, IdentityHashMap<int[], int[]> done) {
        return done.computeIfAbsent(ofCorner, old -> {
            int[] out = new int[old.length];
            for (int c = 0; c < out.length; c++) {
                out[c] = old[corners[c]];
            }
            return out;
        });
    }

    private int addPositions(Mesh mesh, VertexSplit split) {
        float[] positions = Semantics.finitePositions(mesh, notices);
        float[] least = {Float.POSITIVE_INFINITY, Float.POSITIVE_INFINITY, Float.POSITIVE_INFINITY};
        float[] most = {Float.NEGATIVE_INFINITY, Float.NEGATIVE_INFINITY, Float.NEGATIVE_INFINITY};
        for (int i = 0; i < positions.length; i += 3) {
            for (int k = 0; k < 3; k++) {
                least[k] = Math.min(least[k], positions[i + k]);
                most[k] = Math.max(most[k], positions[i + k]);
            }
        }
        int view = document.addView(12L * split.count(), 12, GltfDocument.VERTICES, out -> {
            Records records = new Records(out, 12);
            for (int v = 0; v < split.count(); v++) {
                int from = 3 * split.original(mesh, v);
                int at = records.next();
                for (int k = 0; k < 3; k++) {
                    BinaryInput.putFloat(records.bytes, at + 4 * k, positions[from + k]);
                }
            }
            records.flush();
        });
        ObjectNode accessor = accessor(view, ComponentType.FLOAT, split.count(), "VEC3");
        ArrayNode min = accessor.putArray("min"), max = accessor.putArray("max");
        for (int k = 0; k < 3; k++) { // a float's exact value as a double: a reader gets the same float whichever of both it takes
            min.add((double) least[k]);
            max.add((double) most[k]);
        }
        return document.add("accessors", accessor);
    }

    private static ObjectNode accessor(int view, ComponentType type, long count, String shape) {
        return GltfDocument.object().put("bufferView", view).put("componentType", type.code).put("count", count).put("type", shape);
    }

    private int addColumn(Mesh mesh, VertexSplit split, Semantics.Column column) {
        Attribute attribute = column.attribute();
        int components = attribute.components();
        int stride = (components * column.type().size + 3) / 4 * 4; // every vertex begins at a multiple of four
        int view = document.addView((long) stride * split.count(), stride, GltfDocument.VERTICES, out -> {
            Records records = new Records(out, stride);
            for (int v = 0; v < split.count(); v++) {
                int entry = split.entry(mesh, attribute, v);
                int at = records.next();
                for (int k = 0; k < components; k++) {
                    float value = attribute.values()[entry * components + k];
                    column.type().put(records.bytes, at + k * column.type().size, value, column.normalised());
                }
            }
            records.flush();
        });
        ObjectNode accessor = accessor(view, column.type(), split.count(), components == 1 ? "SCALAR" : "VEC" + components);
        if (column.normalised()) {
            accessor.put("normalized", true);
        }
        return document.add("accessors", accessor);
    }

    private int addIndices(VertexSplit split, int firstTriangle, int count) {
        ComponentType type = split.count() <= MOST_SHORT_VERTICES ? ComponentType.UNSIGNED_SHORT : ComponentType.UNSIGNED_INT;
        int[] indices = split.indices();
        int view = document.addView(3L * count * type.size, 0, GltfDocument.INDICES, out -> {
            Records records = new Records(out, type.size);
            for (int c = 3 * firstTriangle; c < 3 * (firstTriangle + count); c++) {
                int at = records.next();
                if (type == ComponentType.UNSIGNED_SHORT) {
                    BinaryInput.putShort(records.bytes, at, (short) indices[c]);
                } else {
                    BinaryInput.putInt(records.bytes, at, indices[c]);
                }
            }
            records.flush();
            stage.advance(count);
        });
        return document.add("accessors", accessor(view, type, 3L * count, "SCALAR"));
    }

    /** Records of equal size on their way out; bytes between a record's values stay 0. */
    private static final class Records {
        final byte[] bytes;
        private final OutputStream out;
        private final int size;
        private int at;

        Records(OutputStream out, int size) {
            this.out = out;
            this.size = size;
            bytes = new byte[BUFFER / size * size];
        }

        /** Returns the place of the next record. */
        int next() throws IOException {
            if (at == bytes.length) {
                flush();
            }
            at += size;
            return at - size;
        }

        void flush() throws IOException {
            out.write(bytes, 0, at);
            at = 0;
        }
    }
}
