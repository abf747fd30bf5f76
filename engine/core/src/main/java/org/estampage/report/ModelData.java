package org.estampage.report;

import java.nio.ByteBuffer;
import java.nio.ByteOrder;
import java.nio.charset.StandardCharsets;
import java.util.ArrayList;
import java.util.Base64;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import org.estampage.bake.BakeResult;
import org.estampage.io.shared.VertexSplit;
import org.estampage.lowpoly.Decimate;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Bounds;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.Normals;
import org.estampage.task.Task;

/** Meshes for the page's view: arrays of 32-bit numbers, the least significant byte first, in base 64. */
final class ModelData {
    /** A larger low poly would make the page larger than browsers bear. */
    static final int MOST_LOW_TRIANGLES = 400_000;

    private ModelData() {
    }

    /** Returns the low poly: at each vertex position, normal, tangent with w, UV, exactly those that were baked with; empty if it is too large. */
    static Optional<Map<String, Object>> low(BakeResult result) {
        Mesh low = result.low();
        if (low.triangleCount() > MOST_LOW_TRIANGLES) {
            return Optional.empty();
        }
        List<Attribute> attributes = List.of(low.normals().orElseThrow(), low.tangents().orElseThrow(), low.uvSets().get(0));
        return Optional.of(data(low, attributes, List.of("normals", "tangents", "uvs")));
    }

    /**
     * Returns copies of the high polys of at most so many triangles in all, with smooth normals where they have none of their own.
     *
     * @cost that of a decimation
     */
    static List<Mesh> high(BakeResult result, int triangles, Task task) {
        long all = result.job().highs().stream().mapToLong(Mesh::triangleCount).sum();
        List<Mesh> copies = new ArrayList<>();
        for (Mesh high : triangles == 0 ? List.<Mesh>of() : result.job().highs()) {
            int share = (int) Math.max(4, triangles * (long) high.triangleCount() / Math.max(1, all));
            Mesh copy = all <= triangles ? high : Decimate.of(high).triangles(share).task(task).build();
            if (copy.triangleCount() > 0) {
                copies.add(Normals.shading(copy, task));
            }
        }
        return copies;
    }

    /** Returns a copy of a high poly: position and normal at each vertex, and its colour where it has one. */
    static Map<String, Object> highData(Mesh copy) {
        Attribute normals = copy.normals().orElseThrow();
        return copy.colourSets().isEmpty()
                ? data(copy, List.of(normals), List.of("normals"))
                : data(copy, List.of(normals, rgb(copy.colourSets().get(0))), List.of("normals", "colours"));
    }

    /** Returns a colour set without its opacity. */
    private static Attribute rgb(Attribute colours) {
        int components = colours.components();
        float[] values = new float[3 * colours.count()];
        for (int i = 0; i < values.length; i++) {
            values[i] = colours.values()[i / 3 * components + i % 3];
        }
        return new Attribute(colours.name(), 3, values, colours.indices());
    }

    /** Returns the middle and half the diagonal of a box. */
    static List<Double> around(Bounds box) {
        double[] middle = box.middle();
        return List.of(middle[0], middle[1], middle[2], box.diagonal() / 2);
    }

    private static Map<String, Object> data(Mesh mesh, List<Attribute> attributes, List<String> names) {
        VertexSplit split = VertexSplit.of(mesh, attributes);
        Map<String, Object> data = new LinkedHashMap<>();
        data.put("triangles", mesh.triangleCount());
        ByteBuffer positions = room(3 * split.count());
        for (int v = 0; v < split.count(); v++) {
            int at = 3 * split.original(mesh, v);
            positions.putFloat(mesh.positions()[at]).putFloat(mesh.positions()[at + 1]).putFloat(mesh.positions()[at + 2]);
        }
        data.put("positions", text(positions));
        for (int a = 0; a < attributes.size(); a++) {
            Attribute attribute = attributes.get(a);
            int components = attribute.components();
            ByteBuffer values = room(components * split.count());
            for (int v = 0; v < split.count(); v++) {
                int entry = split.entry(mesh, attribute, v);
                for (int k = 0; k < components; k++) {
                    values.putFloat(entry < 0 ? 0 : attribute.values()[components * entry + k]);
                }
            }
            data.put(names.get(a), text(values));
        }
        ByteBuffer corners = room(3 * mesh.triangleCount());
        for (int i = 0; i < 3 * mesh.triangleCount(); i++) {
            corners.putInt(split.indices()[i]);
        }
        data.put("corners", text(corners));
        return data;
    }

    private static ByteBuffer room(int numbers) {
        return ByteBuffer.allocate(4 * numbers).order(ByteOrder.LITTLE_ENDIAN);
    }

    private static String text(ByteBuffer bytes) {
        return StandardCharsets.US_ASCII.decode(Base64.getEncoder().encode(bytes.flip())).toString();
    }
}
