package org.estampage.io.gltf;

import java.util.ArrayDeque;
import java.util.ArrayList;
import java.util.Deque;
import java.util.HashSet;
import java.util.List;
import java.util.Set;
import org.estampage.finding.Severity;
import org.estampage.io.format.FormatException;
import org.estampage.io.shared.Notices;
import org.joml.Matrix4d;
import org.joml.Matrix4dc;
import org.joml.Quaterniond;

/**
 * Finds the nodes of a file that show a mesh, in the order of the hierarchy: a node before its children, those in their order.
 *
 * @threads confined to one thread at a time
 */
final class SceneWalk {
    private final JsonValue root;
    private final Notices notices;
    private final List<Instance> instances = new ArrayList<>();
    private final Set<Integer> visited = new HashSet<>();
    private final Set<Integer> coarser = new HashSet<>();

    /**
     * A mesh in its place.
     *
     * @param meshFromNode where the node's own space is in that of the scene
     */
    record Instance(int node, int mesh, Matrix4dc meshFromNode) {
    }

    private record Step(int node, Matrix4dc meshFromParent) {
    }

    private SceneWalk(JsonValue root, Notices notices) {
        this.root = root;
        this.notices = notices;
    }

    static List<Instance> instances(JsonValue root, Notices notices) throws FormatException {
        return new SceneWalk(root, notices).walk();
    }

    private List<Instance> walk() throws FormatException {
        JsonValue nodes = root.get("nodes");
        int count = nodes.size();
        Deque<Step> stack = new ArrayDeque<>();
        pushAll(stack, roots(nodes), new Matrix4d());
        while (!stack.isEmpty()) {
            Step step = stack.pop();
            JsonValue node = nodes.get(step.node);
            if (!visited.add(step.node)) {
                throw FormatException.ofFile(node.source(), "at " + node.where()
                        + ": found it twice in the hierarchy, expected each node below one other at the most");
            }
            Matrix4dc meshFromNode = new Matrix4d(step.meshFromParent).mul(local(node));
            JsonValue mesh = node.get("mesh");
            if (mesh.isThere()) {
                // By the standard a skinned mesh stands where its joints put it, not where its node is.
                boolean skinned = node.get("skin").isThere();
                instances.add(new Instance(step.node, mesh.index(root.get("meshes").size()), skinned ? new Matrix4d() : meshFromNode));
                if (skinned) {
                    notices.note("skin",
                            "{count} parts have a skin, of which joints and weights are kept, but not its nodes and bind matrices",
                            "nothing needs to be done to bake; bind the mesh again after saving it");
                }
            }
            JsonValue levels = node.get("extensions").get("MSFT_lod").get("ids");
            for (int i = 0; i < levels.size(); i++) {
                coarser.add(levels.get(i).index(count));
            }
            pushAll(stack, indices(node.get("children"), count), meshFromNode);
        }
        noteTheRest(nodes);
        return instances;
    }

    private static void pushAll(Deque<Step> stack, List<Integer> nodes, Matrix4dc meshFromParent) {
        for (int i = nodes.size() - 1; i >= 0; i--) {
            stack.push(new Step(nodes.get(i), meshFromParent));
        }
    }

    private static List<Integer> indices(JsonValue list, int length) throws FormatException {
        List<Integer> indices = new ArrayList<>();
        for (int i = 0; i < list.size(); i++) {
            indices.add(list.get(i).index(length));
        }
        return indices;
    }

    private List<Integer> roots(JsonValue nodes) throws FormatException {
        JsonValue scenes = root.get("scenes");
        JsonValue scene = root.get("scene");
        if (scenes.size() > 0) {
            return indices(scenes.get(scene.isThere() ? scene.index(scenes.size()) : 0).get("nodes"), nodes.size());
        }
        Set<Integer> children = new HashSet<>();
        for (int n = 0; n < nodes.size(); n++) {
            children.addAll(indices(nodes.get(n).get("children"), nodes.size()));
        }
        List<Integer> roots = new ArrayList<>();
        for (int n = 0; n < nodes.size(); n++) {
            if (!children.contains(n)) {
                roots.add(n);
            }
        }
        return roots;
    }

    private void noteTheRest(JsonValue nodes) throws FormatException {
        int levels = 0, others = 0;
        for (int n = 0; n < nodes.size(); n++) {
            if (!visited.contains(n) && coarser.contains(n)) {
                levels++;
            } else if (!visited.contains(n) && nodes.get(n).get("mesh").isThere()) {
                others++;
            }
        }
        if (levels > 0) {
            notices.add(Severity.NOTE, "coarser-levels", levels, "{count} coarser levels of detail were passed over",
                    "nothing needs to be done: the finest one was read");
        }
        if (others > 0) {
            notices.add(Severity.NOTE, "other-scenes", others,
                    "{count} nodes with meshes are not in the scene that was read and were passed over",
                    "make their scene the default one if they are wanted");
        }
    }

    private static Matrix4d local(JsonValue node) throws FormatException {
        JsonValue matrix = node.get("matrix");
        if (matrix.isThere()) {
            return new Matrix4d().set(matrix.numbers(16));
        }
        double[] t = numbers(node.get("translation"), 0, 0, 0);
        double[] r = numbers(node.get("rotation"), 0, 0, 0, 1);
        double[] s = numbers(node.get("scale"), 1, 1, 1);
        Quaterniond rotation = new Quaterniond(r[0], r[1], r[2], r[3]);
        if (!(rotation.lengthSquared() > 0)) {
            throw node.get("rotation").wrong("a quaternion of unit length");
        }
        rotation = r[3] == 1 ? rotation : rotation.normalize();
        return new Matrix4d().translationRotateScale(t[0], t[1], t[2], rotation.x, rotation.y, rotation.z, rotation.w, s[0], s[1], s[2]);
    }

    private static double[] numbers(JsonValue json, double... otherwise) throws FormatException {
        return json.isThere() ? json.numbers(otherwise.length) : otherwise;
    }
}
