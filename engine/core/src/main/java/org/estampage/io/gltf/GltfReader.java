package org.estampage.io.gltf;

import java.io.IOException;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.Comparator;
import java.util.HashMap;
import java.util.HashSet;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.StringJoiner;
import org.estampage.finding.Severity;
import org.estampage.io.format.FormatException;
import org.estampage.io.shared.FileSource;
import org.estampage.io.shared.Notices;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Material;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.Part;
import org.estampage.mesh.Welding;
import org.estampage.task.Task;
import org.joml.Matrix4f;
import org.jspecify.annotations.Nullable;

/**
 * Reads one glTF file: first what there is and how much of it, then all of it into arrays of the right size.
 *
 * @threads confined to one thread at a time
 */
final class GltfReader {
    private static final long LONGEST_ARRAY = Integer.MAX_VALUE - 8;
    private static final int MOST_CHANNELS = 256;
    /** What vertices take besides their values: welding's table and numbers. */
    private static final long BYTES_PER_VERTEX = 6 * 4;
    /** Indices as listed, as numbered here, and after welding; labels. */
    private static final long BYTES_PER_TRIANGLE = (3 * 3 + 2) * 4;
    /** Extensions that change what is read here, and are understood. */
    private static final Set<String> UNDERSTOOD = Set.of("KHR_mesh_quantization", "MSFT_lod");
    /** Beginnings of the names of extensions that say nothing of the shape. */
    private static final List<String> OF_LOOKS = List.of("KHR_materials_", "KHR_texture_", "EXT_texture_", "KHR_lights_", "MSFT_texture_");

    private final FileSource source;
    private final Notices notices = new Notices();
    private final List<Placed> placed = new ArrayList<>();
    /** In the order in which they first come. */
    private final Map<String, Channel> channels = new LinkedHashMap<>();
    private final Map<Integer, List<Primitive>> meshes = new HashMap<>();
    private long vertices;
    private long triangles;

    /** A node's primitives, and where its vertices and triangles go. */
    private static final class Placed {
        final SceneWalk.Instance instance;
        final List<Primitive> primitives;
        final int firstVertex;
        int vertexEnd;
        int triangleEnd;

        Placed(SceneWalk.Instance instance, List<Primitive> primitives, int firstVertex) {
            this.instance = instance;
            this.primitives = primitives;
            this.firstVertex = firstVertex;
        }
    }

    /** An attribute of all primitives together. */
    private static final class Channel {
        final String semantic;
        String name;
        int components;
        Attribute.@Nullable Storage storage;
        int primitives;
        float[] values = {};

        Channel(String semantic) {
            this.semantic = semantic;
            name = Semantics.defaultName(semantic);
        }

        boolean is(String prefix) {
            return semantic.startsWith(prefix);
        }

        /** Colours and weights are shares of a whole; only the quantised rest needs to say so. */
        boolean normalised(Accessor accessor) {
            return accessor.normalised || is(Semantics.COLOUR) || is(Semantics.WEIGHTS);
        }

        /** Returns the number of a UV or colour set, 0 of everything else. */
        int setNumber() {
            boolean numbered = is(Semantics.UV) || is(Semantics.COLOUR);
            return numbered ? Integer.parseInt(semantic.substring(semantic.indexOf('_') + 1)) : 0;
        }

        void add(Accessor accessor) {
            boolean keeps = is(Semantics.COLOUR) || is(Semantics.WEIGHTS) || is(Semantics.JOINTS) || is("_");
            Attribute.Storage its = keeps ? accessor.type.storage(normalised(accessor)) : Attribute.Storage.FLOAT;
            storage = storage == null || storage == its ? its : Attribute.Storage.FLOAT;
            components = Math.max(components, accessor.components);
            primitives++;
        }

        Attribute attribute(int[] indices) {
            return new Attribute(name, components, values, indices, storage == null ? Attribute.Storage.FLOAT : storage);
        }
    }

    private GltfReader(FileSource source) {
        this.source = source;
    }

    static Mesh read(Path path, Task task) throws IOException {
        try (FileSource source = FileSource.open(path, task)) {
            return new GltfReader(source).read();
        }
    }

    private Mesh read() throws IOException {
        try (GltfFile file = new GltfFile(source, notices)) {
            checkAsset(file.root());
            checkExtensions(file.root());
            int primitives = survey(file);
            if (triangles == 0) {
                throw FormatException.ofFile(source.name(),
                        "has no faces in its scene: export the mesh with faces, not as points or lines");
            }
            return new Assembly(file, primitives).mesh();
        }
    }

    private static void checkAsset(JsonValue root) throws FormatException {
        JsonValue version = root.get("asset").get("version");
        if (!version.text().startsWith("2.")) {
            throw version.wrong("2.0: export as glTF 2.0");
        }
        JsonValue least = root.get("asset").get("minVersion");
        if (!least.text("2.0").equals("2.0")) {
            throw least.wrong("2.0: export as glTF 2.0");
        }
    }

    private void checkExtensions(JsonValue root) throws FormatException {
        StringJoiner unknown = new StringJoiner(", ");
        JsonValue required = root.get("extensionsRequired");
        for (int i = 0; i < required.size(); i++) {
            String name = required.get(i).text();
            if (!UNDERSTOOD.contains(name) && OF_LOOKS.stream().noneMatch(name::startsWith)) {
                unknown.add(shortened(name));
            }
        }
        if (unknown.length() > 0) {
            throw FormatException.ofFile(source.name(),
                    "requires extensions that are not known here: " + shortened(unknown.toString()) + "; export it without them");
        }
        JsonValue used = root.get("extensionsUsed");
        for (int i = 0; i < used.size(); i++) {
            String name = used.get(i).text();
            if (!UNDERSTOOD.contains(name)) {
                notices.note("extension-passed-over", "{count} extensions are not read here",
                        "nothing needs to be done if what they add is not wanted; the first is " + shortened(name));
            }
        }
    }

    private static String shortened(String text) {
        String quoted = FormatException.quote(text);
        return quoted.substring(1, quoted.length() - 1);
    }

    // What there is

    /** Counts everything and settles where it goes; returns the number of primitives. */
    private int survey(GltfFile file) throws IOException {
        int primitives = 0;
        for (SceneWalk.Instance instance : SceneWalk.instances(file.root(), notices)) {
            List<Primitive> list = primitives(file, instance.mesh());
            if (list.isEmpty()) {
                continue;
            }
            Placed place = new Placed(instance, list, (int) vertices);
            Set<Object> seen = new HashSet<>();
            for (Primitive p : list) {
                vertices += seen.add(p.key) ? p.positions.count : 0;
                triangles += p.mostTriangles();
                if (4 * vertices > LONGEST_ARRAY || 3 * triangles > LONGEST_ARRAY) {
                    throw FormatException.ofFile(source.name(), "has more than 536 million vertices or 715 million triangles: split it");
                }
            }
            place.vertexEnd = (int) vertices;
            placed.add(place);
            primitives += list.size();
            surveyNames(file.root().get("meshes").get(instance.mesh()));
        }
        long numbers = 3;
        for (Channel channel : channels.values()) {
            numbers += channel.components;
        }
        source.reserve(vertices * (4 * numbers + BYTES_PER_VERTEX) + triangles * BYTES_PER_TRIANGLE);
        return primitives;
    }

    private List<Primitive> primitives(GltfFile file, int mesh) throws IOException {
        List<Primitive> known = meshes.get(mesh);
        if (known == null) {
            known = new ArrayList<>();
            JsonValue list = file.root().get("meshes").get(mesh).get("primitives");
            for (int i = 0; i < list.size(); i++) {
                Primitive primitive = Primitive.of(file, list.get(i), notices);
                if (primitive != null && primitive.mostTriangles() > 0) {
                    known.add(primitive);
                }
            }
            meshes.put(mesh, known);
        }
        for (Primitive primitive : known) {
            primitive.attributes.forEach((semantic, accessor) -> {
                if (channels.size() < MOST_CHANNELS || channels.containsKey(semantic)) {
                    channels.computeIfAbsent(semantic, Channel::new).add(accessor);
                } else {
                    notices.warn("too-many-attributes", "{count} attributes beyond " + MOST_CHANNELS + " were passed over",
                            "export only those that are needed");
                }
            });
        }
        return known;
    }

    /** Takes names that our writer left; each only once, so that sets can be told apart. */
    private void surveyNames(JsonValue mesh) throws FormatException {
        if (!mesh.get("extras").node().isObject()) {
            return;
        }
        JsonValue names = mesh.get("extras").get(Semantics.NAMES);
        for (Channel channel : channels.values()) {
            String name = names.node().path(channel.semantic).asText("");
            if (!name.isEmpty() && channels.values().stream().noneMatch(c -> c.name.equals(name))) {
                channel.name = name;
            }
        }
    }

    // All of it

    /** The arrays in the making. */
    private final class Assembly {
        private final GltfFile file;
        private final float[] positions = new float[3 * (int) vertices];
        private int[] corners = new int[3 * (int) triangles];
        private int[] partOf = new int[(int) triangles];
        private int[] materialOf = new int[(int) triangles];
        private final @Nullable FlatNormals flat;
        private int cornerEnd;
        private final List<Part> parts = new ArrayList<>();

        Assembly(GltfFile file, int primitiveCount) {
            this.file = file;
            Channel tangents = channels.get(Semantics.TANGENT);
            Channel normals = channels.get(Semantics.NORMAL);
            if (tangents != null && (tangents.primitives < primitiveCount || normals == null)) {
                channels.remove(Semantics.TANGENT);
                notices.note("tangents-passed-over", "some primitives have no tangents; those of the others were passed over",
                        "nothing needs to be done: tangents are computed for all");
            }
            flat = normals != null && normals.primitives < primitiveCount ? new FlatNormals((int) vertices) : null;
            channels.values().forEach(c -> c.values = new float[c.components * (int) vertices]);
        }

        Mesh mesh() throws IOException {
            for (Placed place : placed) {
                source.task().check();
                add(place);
            }
            if (cornerEnd == 0) {
                throw FormatException.ofFile(source.name(), "has no faces in its scene: its strips are all stitches");
            }
            corners = Arrays.copyOf(corners, cornerEnd);
            partOf = Arrays.copyOf(partOf, cornerEnd / 3);
            materialOf = Arrays.copyOf(materialOf, cornerEnd / 3);
            return built();
        }

        private void add(Placed place) throws IOException {
            Map<Object, Integer> ranges = new HashMap<>();
            Transform transform = new Transform(place.instance.meshFromNode());
            int vertexEnd = place.firstVertex;
            int firstTriangle = cornerEnd / 3;
            for (Primitive p : place.primitives) {
                Integer first = ranges.get(p.key);
                if (first == null) {
                    first = vertexEnd;
                    ranges.put(p.key, first);
                    readVertices(p, first, transform);
                    vertexEnd += p.positions.count;
                }
                int from = cornerEnd;
                cornerEnd = p.putTriangles(corners, from, first, transform.mirrors());
                Arrays.fill(materialOf, from / 3, cornerEnd / 3, p.material);
                if (flat != null && !p.attributes.containsKey(Semantics.NORMAL)) {
                    flat.add(positions, corners, from, cornerEnd);
                }
                if (p.listed() != 3 * p.mostTriangles() && p.isList()) {
                    notices.warn("left-over-corners", "{count} lists of triangles end inside a triangle, which was left out",
                            "export the model again");
                }
            }
            place.triangleEnd = cornerEnd / 3;
            if (place.triangleEnd > firstTriangle) {
                Arrays.fill(partOf, firstTriangle, place.triangleEnd, parts.size());
                parts.add(new Part(partName(place.instance), new Matrix4f(place.instance.meshFromNode())));
            }
        }

        private String partName(SceneWalk.Instance instance) throws FormatException {
            JsonValue node = file.root().get("nodes").get(instance.node());
            JsonValue mesh = file.root().get("meshes").get(instance.mesh());
            String otherwise = placed.size() == 1 ? FileSource.stem(source.path()) : "node-" + instance.node();
            return node.get("name").text(mesh.get("name").text(otherwise));
        }

        private void readVertices(Primitive p, int first, Transform transform) throws IOException {
            int end = first + p.positions.count;
            p.positions.readFloats(p.positions.normalised, positions, first, 3);
            transform.points(positions, 3 * first, 3 * end);
            for (Channel channel : channels.values()) {
                Accessor accessor = p.attributes.get(channel.semantic);
                int width = channel.components;
                if (accessor == null) {
                    missing(channel, first, end);
                    continue;
                }
                if (accessor.components < width) { // colours without alpha beside others with
                    Arrays.fill(channel.values, first * width, end * width, channel.is(Semantics.COLOUR) ? 1 : 0);
                }
                accessor.readFloats(channel.normalised(accessor), channel.values, first, width);
                switch (channel.semantic) {
                    case Semantics.NORMAL -> transform.normals(channel.values, 3 * first, 3 * end);
                    case Semantics.TANGENT -> transform.tangents(channel.values, 4 * first, 4 * end);
                    default -> {
                        if (channel.is(Semantics.UV)) {
                            Semantics.flip(channel.values, 2 * first, 2 * end);
                        }
                    }
                }
            }
        }

        private void missing(Channel channel, int first, int end) {
            if (channel.is(Semantics.COLOUR)) {
                Arrays.fill(channel.values, first * channel.components, end * channel.components, 1);
            } else if (channel.semantic.equals(Semantics.NORMAL)) {
                notices.note("flat-normals",
                        "{count} primitives have no normals beside others that have; they got flat ones, as the format says",
                        "give all primitives normals, or none, if that is not wanted");
            } else {
                notices.warn("attribute-missing", "{count} primitives lack an attribute that others have; it is 0 there",
                        "export all with the same attributes; the first is " + channel.name);
            }
        }

        private Mesh built() throws IOException {
            source.task().check();
            notices.checkFinite("positions", "vertex", positions, 3);
            int[] positionOf = welded();
            String name = FileSource.stem(source.path());
            Mesh.Builder mesh = Mesh.builder(weldedPositions(positionOf), positionOf == null ? corners : through(positionOf)).name(name);
            mesh.parts(parts, parts.size() == 1 ? null : partOf);
            List<Material> materials = new MaterialReader(file, notices).read();
            if (!materials.isEmpty()) {
                mesh.materials(materials, materialOf);
            }
            for (Channel channel : inOrder()) {
                addTo(mesh, channel);
            }
            return mesh.findings(notices.findings()).build();
        }

        private void addTo(Mesh.Builder mesh, Channel channel) {
            if (channel.semantic.equals(Semantics.NORMAL)) {
                int[] indices = flat == null ? corners : flat.indices(corners);
                channel.values = flat == null ? channel.values : flat.values(channel.values);
                notices.checkFinite("normals", "normal", channel.values, 3);
                mesh.normals(channel.attribute(indices));
            } else if (channel.semantic.equals(Semantics.TANGENT)) {
                mesh.tangents(channel.attribute(corners));
            } else if (channel.is(Semantics.UV)) {
                notices.checkFinite("UVs", "uv", channel.values, 2);
                mesh.uvSet(channel.attribute(corners));
            } else if (channel.is(Semantics.COLOUR)) {
                notices.checkFinite("colours", "vertex", channel.values, channel.components);
                mesh.colourSet(channel.attribute(corners));
            } else {
                mesh.extra(channel.attribute(corners));
            }
        }

        /** Returns the channels, UV and colour sets by their numbers. */
        private List<Channel> inOrder() {
            List<Channel> list = new ArrayList<>(channels.values());
            list.sort(Comparator.comparingInt(Channel::setNumber));
            return list;
        }

        // Welding

        /** Returns the new number of each vertex, those at the same place in the same node having one; null when none are. */
        private int @Nullable [] welded() {
            int[] result = new int[positions.length / 3];
            int next = 0;
            for (Placed place : placed) {
                int first = place.firstVertex, end = place.vertexEnd;
                float[] own = placed.size() == 1 ? positions : Arrays.copyOfRange(positions, 3 * first, 3 * end);
                int[] canonical = Welding.canonicalVertices(Mesh.builder(own, new int[0]).build());
                for (int v = 0; v < canonical.length; v++) {
                    result[first + v] = canonical[v] < v && sameBits(own, canonical[v], v) ? result[first + canonical[v]] : next++;
                }
            }
            return next == result.length ? null : result;
        }

        private static boolean sameBits(float[] xyz, int a, int b) {
            for (int k = 0; k < 3; k++) {
                if (Float.floatToRawIntBits(xyz[3 * a + k]) != Float.floatToRawIntBits(xyz[3 * b + k])) {
                    return false;
                }
            }
            return true;
        }

        private float[] weldedPositions(int @Nullable [] numbers) {
            if (numbers == null) {
                return positions;
            }
            int count = 0;
            for (int v = 0; v < numbers.length; v++) {
                if (numbers[v] == count) { // the first of its place: numbers rise with it
                    System.arraycopy(positions, 3 * v, positions, 3 * count, 3);
                    count++;
                }
            }
            notices.add(Severity.NOTE, "welded-vertices", numbers.length - count,
                    "{count} vertices at exactly the place of another one of their node were joined with it; the format must repeat them along seams",
                    "nothing needs to be done");
            return Arrays.copyOf(positions, 3 * count);
        }

        private int[] through(int[] numbers) {
            int[] out = new int[corners.length];
            for (int c = 0; c < out.length; c++) {
                out[c] = numbers[corners[c]];
            }
            return out;
        }
    }
}
