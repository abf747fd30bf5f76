package org.estampage.io.gltf;

import com.fasterxml.jackson.databind.node.ArrayNode;
import com.fasterxml.jackson.databind.node.JsonNodeFactory;
import com.fasterxml.jackson.databind.node.ObjectNode;
import java.io.IOException;
import java.io.OutputStream;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;

/**
 * A glTF file in the making: its JSON tree, and what its buffer will hold. Only sizes are settled here; the bytes are made while they are written.
 *
 * @threads confined to one thread at a time
 */
final class GltfDocument {
    /** A view that is no geometry. */
    static final int NO_TARGET = 0;
    static final int VERTICES = 34962;
    static final int INDICES = 34963;

    private static final int ALIGNMENT = 4;
    private static final JsonNodeFactory NODES = JsonNodeFactory.instance;

    /** Writes the bytes of a view. */
    interface Content {
        void write(OutputStream out) throws IOException;
    }

    private record View(Content content, long length) {
    }

    /** The lists of the file, in the order in which they are written. */
    private final Map<String, ArrayNode> lists = new LinkedHashMap<>();
    private final List<View> views = new ArrayList<>();
    private final ArrayNode extensions = NODES.arrayNode();
    private long size;

    GltfDocument() {
        for (String list : List.of("nodes", "meshes", "materials", "textures", "images", "accessors", "bufferViews")) {
            lists.put(list, NODES.arrayNode());
        }
    }

    static ObjectNode object() {
        return NODES.objectNode();
    }

    /** Adds an element to a list and returns its number. */
    int add(String list, ObjectNode element) {
        ArrayNode array = java.util.Objects.requireNonNull(lists.get(list), list);
        array.add(element);
        return array.size() - 1;
    }

    /** Returns how many elements a list has. */
    int count(String list) {
        return java.util.Objects.requireNonNull(lists.get(list), list).size();
    }

    ObjectNode element(String list, int number) {
        return (ObjectNode) java.util.Objects.requireNonNull(lists.get(list), list).get(number);
    }

    /** Adds a view and returns its number. */
    int addView(long length, int stride, int target, Content content) {
        ObjectNode view = object().put("buffer", 0).put("byteOffset", size).put("byteLength", length);
        if (stride > 0) {
            view.put("byteStride", stride);
        }
        if (target != NO_TARGET) {
            view.put("target", target);
        }
        views.add(new View(content, length));
        size = aligned(size + length);
        return add("bufferViews", view);
    }

    private static long aligned(long offset) {
        return (offset + ALIGNMENT - 1) / ALIGNMENT * ALIGNMENT;
    }

    void use(String extension) {
        for (int i = 0; i < extensions.size(); i++) {
            if (extensions.get(i).asText().equals(extension)) {
                return;
            }
        }
        extensions.add(extension);
    }

    /** Returns the size of the buffer, a multiple of four. */
    long size() {
        return size;
    }

    /** Returns the whole tree. */
    ObjectNode tree(List<Integer> roots, ObjectNode buffer) {
        ObjectNode tree = object();
        tree.putObject("asset").put("version", "2.0").put("generator", "Estampage");
        if (!extensions.isEmpty()) {
            tree.set("extensionsUsed", extensions);
        }
        tree.put("scene", 0);
        ArrayNode nodes = tree.putArray("scenes").addObject().putArray("nodes");
        roots.forEach(nodes::add);
        lists.forEach((name, list) -> {
            if (!list.isEmpty()) {
                tree.set(name, list);
            }
        });
        tree.putArray("buffers").add(buffer.put("byteLength", size));
        return tree;
    }

    /** Writes the buffer. */
    void writeBuffer(OutputStream out) throws IOException {
        for (View view : views) {
            view.content.write(out);
            for (long at = view.length; at < aligned(view.length); at++) {
                out.write(0);
            }
        }
    }
}
