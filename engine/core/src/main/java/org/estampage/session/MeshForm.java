package org.estampage.session;

import java.io.IOException;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Optional;
import org.estampage.finding.Finding;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Labels;
import org.estampage.mesh.Material;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.Part;
import org.estampage.mesh.Polygons;
import org.joml.Matrix4f;
import org.jspecify.annotations.Nullable;

/**
 * A mesh as bytes, with all that it holds: it is written, read and fingerprinted in this one form. The form is the cache's own and changes with the engine.
 */
final class MeshForm {
    private MeshForm() {
    }

    /** Index lists that are equal are written once: most attributes have those of the positions, and a mesh that was read shares them again. */
    private static final class Indices {
        private final List<int[]> known = new ArrayList<>();

        void write(int[] indices, ByteOut out) throws IOException {
            for (int i = 0; i < known.size(); i++) {
                if (Arrays.equals(known.get(i), indices)) {
                    out.putInt(i);
                    return;
                }
            }
            out.putInt(-1);
            writeInts(indices, out);
            known.add(indices);
        }

        int[] read(ByteIn in) throws IOException {
            int number = in.getInt();
            if (number >= 0) {
                return known.get(number);
            }
            int[] indices = readInts(in);
            known.add(indices);
            return indices;
        }
    }

    static void write(Mesh mesh, ValueOut values) throws IOException {
        ByteOut out = values.bytes();
        Indices indices = new Indices();
        out.putText(mesh.name());
        writeFloats(mesh.positions(), out);
        indices.write(mesh.positionIndices(), out);
        write(mesh.normals().orElse(null), indices, out);
        write(mesh.tangents().orElse(null), indices, out);
        write(mesh.uvSets(), indices, out);
        write(mesh.colourSets(), indices, out);
        write(mesh.extras(), indices, out);
        write(mesh.polygons(), out);
        int[] smoothing = mesh.smoothingGroups();
        out.put(smoothing == null ? 0 : 1);
        if (smoothing != null) {
            writeInts(smoothing, out);
        }
        out.putInt(mesh.parts().size());
        for (Part part : mesh.parts()) {
            out.putText(part.name());
            out.putFloats(part.meshFromPart().get(new float[16]), 16);
            out.putInt(part.meshFromPart().properties()); // it says how the matrix is inverted, which shows in the last bits
        }
        writeNumbers(mesh.partLabels(), mesh.triangleCount(), out);
        values.put(mesh.materials());
        out.put(mesh.materialLabels().isPresent() ? 1 : 0);
        if (mesh.materialLabels().isPresent()) {
            writeNumbers(mesh.materialLabels().get(), mesh.triangleCount(), out);
        }
        out.put(mesh.groupLabels().isPresent() ? 1 : 0);
        if (mesh.groupLabels().isPresent()) {
            values.put(mesh.groupLabels().get().names());
            writeNumbers(mesh.groupLabels().get(), mesh.triangleCount(), out);
        }
        values.put(new ArrayList<>(mesh.findings()));
    }

    static Mesh read(ValueIn values) throws IOException {
        ByteIn in = values.bytes();
        Indices indices = new Indices();
        String name = in.getText();
        float[] positions = readFloats(in);
        Mesh.Builder out = Mesh.builder(positions, indices.read(in)).name(name);
        out.normals(readAttribute(indices, in)).tangents(readAttribute(indices, in));
        readAttributes(indices, in).forEach(out::uvSet);
        readAttributes(indices, in).forEach(out::colourSet);
        readAttributes(indices, in).forEach(out::extra);
        out.polygons(readPolygons(in));
        out.smoothingGroups(in.get() == 0 ? null : readInts(in));
        List<Part> parts = new ArrayList<>();
        for (int i = in.count(Integer.BYTES); i > 0; i--) {
            parts.add(new Part(in.getText(), new Matrix4f().set(in.getFloats(16)).assume(in.getInt())));
        }
        out.parts(parts, readNumbers(in));
        List<Material> materials = values.list(Material.class);
        if (in.get() != 0) {
            out.materials(materials, readNumbers(in));
        }
        if (in.get() != 0) {
            out.groups(new Labels(values.list(String.class), readNumbers(in)));
        }
        return out.findings(values.list(Finding.class)).build();
    }

    private static void write(List<Attribute> attributes, Indices indices, ByteOut out) throws IOException {
        out.putInt(attributes.size());
        for (Attribute attribute : attributes) {
            write(attribute, indices, out);
        }
    }

    private static List<Attribute> readAttributes(Indices indices, ByteIn in) throws IOException {
        List<Attribute> attributes = new ArrayList<>();
        for (int i = in.count(1); i > 0; i--) {
            Attribute attribute = readAttribute(indices, in);
            if (attribute != null) {
                attributes.add(attribute);
            }
        }
        return attributes;
    }

    private static void write(@Nullable Attribute attribute, Indices indices, ByteOut out) throws IOException {
        out.put(attribute == null ? 0 : 1);
        if (attribute != null) {
            out.putText(attribute.name());
            out.putInt(attribute.components());
            out.putText(attribute.storage().name());
            writeFloats(attribute.values(), out);
            indices.write(attribute.indices(), out);
        }
    }

    private static @Nullable Attribute readAttribute(Indices indices, ByteIn in) throws IOException {
        if (in.get() == 0) {
            return null;
        }
        String name = in.getText();
        int components = in.getInt();
        Attribute.Storage storage = Attribute.Storage.valueOf(in.getText());
        float[] numbers = readFloats(in);
        return new Attribute(name, components, numbers, indices.read(in), storage);
    }

    private static void write(Optional<Polygons> polygons, ByteOut out) throws IOException {
        out.putInt(polygons.map(Polygons::count).orElse(-1));
        if (polygons.isPresent()) {
            Polygons all = polygons.get();
            int[] starts = new int[all.count() + 1];
            for (int p = 0; p < all.count(); p++) {
                starts[p + 1] = starts[p] + all.cornerCount(p);
            }
            int[] corners = new int[starts[all.count()]];
            for (int p = 0; p < all.count(); p++) {
                for (int c = 0; c < all.cornerCount(p); c++) {
                    corners[starts[p] + c] = all.corner(p, c);
                }
            }
            writeInts(starts, out);
            writeInts(corners, out);
        }
    }

    private static @Nullable Polygons readPolygons(ByteIn in) throws IOException {
        return in.getInt() < 0 ? null : new Polygons(readInts(in), readInts(in));
    }

    /** Writes which name each triangle has; one name for all takes no room. */
    private static void writeNumbers(Labels labels, int triangles, ByteOut out) throws IOException {
        int[] numbers = new int[triangles];
        boolean first = labels.names().size() == 1;
        for (int t = 0; t < triangles; t++) {
            numbers[t] = labels.of(t);
            first &= numbers[t] == 0;
        }
        out.put(first ? 0 : 1);
        if (!first) {
            writeInts(numbers, out);
        }
    }

    private static int @Nullable [] readNumbers(ByteIn in) throws IOException {
        return in.get() == 0 ? null : readInts(in);
    }

    private static void writeInts(int[] values, ByteOut out) throws IOException {
        out.putInt(values.length);
        out.putInts(values);
    }

    private static int[] readInts(ByteIn in) throws IOException {
        return in.getInts(in.getInt());
    }

    private static void writeFloats(float[] values, ByteOut out) throws IOException {
        out.putInt(values.length);
        out.putFloats(values, values.length);
    }

    private static float[] readFloats(ByteIn in) throws IOException {
        return in.getFloats(in.getInt());
    }
}
