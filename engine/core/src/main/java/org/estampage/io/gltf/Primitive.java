package org.estampage.io.gltf;

import com.fasterxml.jackson.databind.JsonNode;
import java.io.IOException;
import java.util.Iterator;
import java.util.LinkedHashMap;
import java.util.Map;
import org.estampage.io.format.FormatException;
import org.estampage.io.shared.Notices;
import org.jspecify.annotations.Nullable;

/**
 * Triangles of one material, as a file describes them.
 *
 * @threads confined to one thread at a time
 */
final class Primitive {
    private static final int TRIANGLES = 4;
    private static final int STRIP = 5;
    private static final int FAN = 6;

    final JsonNode key;
    final Accessor positions;
    final Map<String, Accessor> attributes;
    final int material;
    private final @Nullable Accessor indices;
    private final int mode;

    private Primitive(JsonNode key, Accessor positions, Map<String, Accessor> attributes, @Nullable Accessor indices, int mode,
            int material) {
        this.key = key;
        this.positions = positions;
        this.attributes = attributes;
        this.indices = indices;
        this.mode = mode;
        this.material = material;
    }

    /** Returns a primitive; null when it has no triangles, which is noted. */
    static @Nullable Primitive of(GltfFile file, JsonValue json, Notices notices) throws IOException {
        int mode = (int) json.get("mode").integer(0, FAN, TRIANGLES);
        JsonValue attributes = json.get("attributes");
        if (mode < TRIANGLES || !attributes.get(Semantics.POSITION).isThere()) {
            notices.note("lines-or-points", "{count} primitives of lines or points, or without positions, were passed over",
                    "nothing needs to be done: only triangles are baked");
            return null;
        }
        Accessor positions = vector(file, attributes.get(Semantics.POSITION), 3, 3);
        Map<String, Accessor> others = new LinkedHashMap<>();
        for (Iterator<String> names = attributes.node().fieldNames(); names.hasNext();) {
            String name = names.next();
            Accessor accessor = name.equals(Semantics.POSITION) ? null : attribute(file, attributes.get(name), name, notices);
            if (accessor != null && accessor.count != positions.count) {
                throw accessor.json.get("count").wrong(positions.count + ", as many as positions");
            }
            if (accessor != null) {
                others.put(name, accessor);
            }
        }
        if (json.get("targets").size() > 0) {
            notices.note("morph-targets", "{count} primitives have morph targets, which were passed over",
                    "nothing needs to be done: the shape without them is baked");
        }
        Accessor indices = json.get("indices").isThere() ? file.accessor(json.get("indices")) : null;
        if (indices != null && (indices.components != 1 || indices.type == ComponentType.FLOAT)) {
            throw indices.json.get("type").wrong("SCALAR, of whole numbers");
        }
        JsonValue material = json.get("material");
        return new Primitive(attributes.node(), positions, others, indices, mode,
                material.isThere() ? material.index(file.root().get("materials").size()) : -1);
    }

    private static Accessor vector(GltfFile file, JsonValue json, int least, int most) throws IOException {
        Accessor accessor = file.accessor(json);
        if (accessor.components < least || accessor.components > most) {
            throw accessor.json.get("type").wrong("VEC" + least + (most > least ? " or VEC" + most : "") + " for " + json.where());
        }
        return accessor;
    }

    private static @Nullable Accessor attribute(GltfFile file, JsonValue json, String name, Notices notices) throws IOException {
        if (name.equals(Semantics.NORMAL)) {
            return vector(file, json, 3, 3);
        }
        if (name.matches("TEXCOORD_\\d{1,4}")) {
            return vector(file, json, 2, 2);
        }
        if (name.matches("COLOR_\\d{1,4}")) {
            return vector(file, json, 3, 4);
        }
        if (name.matches("(JOINTS|WEIGHTS)_\\d{1,4}") || name.equals(Semantics.TANGENT)) {
            return vector(file, json, 4, 4);
        }
        if (name.startsWith("_")) {
            return vector(file, json, 1, 4);
        }
        notices.note("attribute-passed-over", "{count} attributes of primitives are not read here",
                "nothing needs to be done if they are not wanted; the first is " + FormatException.quote(name));
        return null;
    }

    /** Returns the number of triangle corners in the list, strip or fan. */
    int listed() {
        return indices == null ? positions.count : indices.count;
    }

    boolean isList() {
        return mode == TRIANGLES;
    }

    /** Returns how many triangles there can be at the most. */
    int mostTriangles() {
        return mode == TRIANGLES ? listed() / 3 : Math.max(0, listed() - 2);
    }

    /** Returns the indices as they are listed; without any, the vertices in their order. */
    int[] list() throws IOException {
        int[] list = new int[listed()];
        if (indices != null) {
            indices.readIndices(list, positions.count);
        } else {
            for (int i = 0; i < list.length; i++) {
                list[i] = i;
            }
        }
        return list;
    }

    /**
     * Puts three vertices a triangle behind those that are there.
     *
     * @param from   where the first goes
     * @param vertex what is added to each
     * @param turn   whether triangles are turned over
     * @return where the next would go
     */
    int putTriangles(int[] dest, int from, int vertex, boolean turn) throws IOException {
        int[] list = list();
        int second = turn ? 2 : 1, third = turn ? 1 : 2;
        int at = from;
        int triangles = mostTriangles();
        for (int t = 0; t < triangles; t++) {
            int a, b, c;
            if (mode == TRIANGLES) {
                a = list[3 * t];
                b = list[3 * t + 1];
                c = list[3 * t + 2];
            } else if (mode == STRIP) {
                a = list[t];
                b = list[t + 1 + t % 2];
                c = list[t + 2 - t % 2];
                if (a == b || b == c || c == a) { // a stitch from one stretch of the strip to the next
                    continue;
                }
            } else {
                a = list[t + 1];
                b = list[t + 2];
                c = list[0];
            }
            dest[at] = vertex + a;
            dest[at + second] = vertex + b;
            dest[at + third] = vertex + c;
            at += 3;
        }
        return at;
    }
}
