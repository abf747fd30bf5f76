package org.estampage.io.ply;

import java.io.IOException;
import java.io.OutputStream;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.HashSet;
import java.util.List;
import java.util.Locale;
import java.util.Set;
import org.estampage.finding.Finding;
import org.estampage.finding.Findings;
import org.estampage.io.format.AtomicFile;
import org.estampage.io.shared.BinaryInput;
import org.estampage.io.shared.FileSource;
import org.estampage.io.shared.NotCarried;
import org.estampage.io.shared.TextOut;
import org.estampage.io.shared.VertexSplit;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.Polygons;
import org.estampage.task.Task;

/**
 * Writes one PLY file.
 *
 * @threads confined to one thread at a time
 */
final class PlyWriter {
    private static final int REPORT_EVERY = 1 << 14;
    private static final int BUFFER = 1 << 16;

    /** A column of the vertex table: one component of an attribute. */
    private record Column(String name, PlyType type, Attribute attribute, int component, float one) {
    }

    private final Mesh mesh;
    private final boolean ascii;
    private final Task task;
    private final NotCarried lost = new NotCarried("PLY");
    private final List<Attribute> attributes = new ArrayList<>();
    private final List<Column> columns = new ArrayList<>();
    private final Set<String> names = new HashSet<>(List.of("x", "y", "z"));

    private PlyWriter(Mesh mesh, boolean ascii, Task task) {
        this.mesh = mesh;
        this.ascii = ascii;
        this.task = task;
    }

    static Findings write(Mesh mesh, boolean ascii, Path path, Task task) throws IOException {
        return new PlyWriter(mesh, ascii, task).write(path);
    }

    private Findings write(Path path) throws IOException {
        mesh.normals().ifPresent(n -> add(n, PlyType.FLOAT32, 1, "nx", "ny", "nz"));
        mesh.uvSets().stream().limit(1).forEach(uv -> add(uv, PlyType.FLOAT32, 1, "s", "t"));
        mesh.colourSets().stream().limit(1).forEach(this::addColours);
        mesh.extras().forEach(this::addExtra);
        noteLost();
        VertexSplit split = VertexSplit.of(mesh, attributes);
        Task.Stage stage = task.stage("writing " + FileSource.name(path), (long) split.count() + mesh.triangleCount());
        AtomicFile.write(path, task, out -> {
            TextOut text = new TextOut(out);
            header(text, split);
            if (ascii) {
                writeText(text, split, stage);
                text.flush();
            } else {
                text.flush();
                writeBinary(out, split, stage);
            }
        });
        List<Finding> findings = new ArrayList<>(lost.findings());
        if (split.copies() > 0) {
            findings.add(Finding.note("split-vertices", split.copies(),
                    split.copies() + " vertices were written again, behind the others, since PLY has one normal, UV and colour a vertex",
                    "save as OBJ to keep seams and hard edges without copies", List.of()));
        }
        return Findings.of(findings);
    }

    private void add(Attribute attribute, PlyType type, float one, String... columnNames) {
        attributes.add(attribute);
        for (int k = 0; k < columnNames.length; k++) {
            names.add(columnNames[k]);
            columns.add(new Column(columnNames[k], type, attribute, k, one));
        }
    }

    private void addColours(Attribute colours) {
        PlyType type = switch (colours.storage()) {
            case UNIT_BYTE -> PlyType.UINT8;
            case UNIT_SHORT -> PlyType.UINT16;
            default -> PlyType.FLOAT32;
        };
        if (colours.components() == 4) {
            add(colours, type, type.one(), "red", "green", "blue", "alpha");
        } else {
            add(colours, type, type.one(), "red", "green", "blue");
        }
    }

    private void addExtra(Attribute extra) {
        PlyType type = switch (extra.storage()) {
            case UNSIGNED_BYTE -> PlyType.UINT8;
            case UNSIGNED_SHORT -> PlyType.UINT16;
            case INTEGER -> PlyType.INT32;
            default -> PlyType.FLOAT32;
        };
        String base = extra.name().replaceAll("[^!-~]+", "_").toLowerCase(Locale.ROOT);
        base = extra.name().matches("[!-~]+") ? extra.name() : base.isEmpty() ? "_" : base;
        String[] columnNames = new String[extra.components()];
        for (int k = 0; k < columnNames.length; k++) {
            String name = columnNames.length == 1 ? base : base + "_" + k;
            while (names.contains(name)) {
                name += "_";
            }
            columnNames[k] = name;
        }
        add(extra, type, 1, columnNames);
    }

    private void noteLost() {
        mesh.uvSets().stream().skip(1).forEach(set -> lost.add("UV sets", set.name()));
        mesh.colourSets().stream().skip(1).forEach(set -> lost.add("colours", set.name()));
        mesh.tangents().ifPresent(t -> lost.add("tangents", t.name()));
        if (mesh.parts().size() > 1) {
            mesh.parts().forEach(part -> lost.add("parts", part.name()));
        }
        mesh.materials().forEach(material -> lost.add("materials", material.name()));
        mesh.groupLabels().ifPresent(groups -> groups.names().forEach(name -> lost.add("groups", name)));
        if (mesh.smoothingGroups() != null) {
            lost.add("smoothing groups", "all");
        }
    }

    private int largestFace() {
        int largest = 3;
        Polygons polygons = mesh.polygons().orElse(null);
        for (int p = 0; polygons != null && p < polygons.count(); p++) {
            largest = Math.max(largest, polygons.cornerCount(p));
        }
        return largest;
    }

    private int faceCount() {
        return mesh.polygons().map(Polygons::count).orElse(mesh.triangleCount());
    }

    private void header(TextOut out, VertexSplit split) throws IOException {
        out.put("ply\nformat ").put(ascii ? "ascii" : "binary_little_endian").put(" 1.0\nelement vertex ").put(split.count()).put('\n');
        for (String axis : List.of("x", "y", "z")) {
            out.put("property float ").put(axis).put('\n');
        }
        for (Column column : columns) {
            out.put("property ").put(column.type.oldName).put(' ').put(column.name).put('\n');
        }
        out.put("element face ").put(faceCount()).put('\n');
        out.put(largestFace() < 256 ? "property list uchar int vertex_indices\n" : "property list int int vertex_indices\n");
        out.put("end_header\n");
    }

    private void writeText(TextOut out, VertexSplit split, Task.Stage stage) throws IOException {
        float[] p = mesh.positions();
        for (int v = 0; v < split.count(); v++) {
            int o = 3 * split.original(mesh, v);
            out.put(p[o]).put(' ').put(p[o + 1]).put(' ').put(p[o + 2]);
            for (Column column : columns) {
                out.put(' ');
                float value = value(column, split, v);
                if (column.type == PlyType.FLOAT32) {
                    out.put(value);
                } else {
                    out.put(stored(column, value));
                }
            }
            out.put('\n');
            report(stage, v);
        }
        Polygons polygons = mesh.polygons().orElse(null);
        int[] indices = split.indices();
        int faces = faceCount();
        for (int f = 0; f < faces; f++) {
            int size = polygons == null ? 3 : polygons.cornerCount(f);
            out.put(size);
            for (int k = 0; k < size; k++) {
                out.put(' ').put(indices[polygons == null ? 3 * f + k : polygons.corner(f, k)]);
            }
            out.put('\n');
            report(stage, f);
        }
    }

    private float value(Column column, VertexSplit split, int vertex) {
        int entry = split.entry(mesh, column.attribute, vertex);
        return entry < 0 ? 0 : column.attribute.values()[entry * column.attribute.components() + column.component];
    }

    private static int stored(Column column, float value) {
        long whole = Math.round((double) value * column.one);
        return switch (column.type) {
            case UINT8 -> Math.clamp(whole, 0, 255);
            case UINT16 -> Math.clamp(whole, 0, 65535);
            default -> Math.clamp(whole, Integer.MIN_VALUE, Integer.MAX_VALUE);
        };
    }

    private void writeBinary(OutputStream out, VertexSplit split, Task.Stage stage) throws IOException {
        int record = 12 + columns.stream().mapToInt(c -> c.type.size).sum();
        byte[] b = new byte[Math.max(BUFFER, record)];
        int at = 0;
        float[] p = mesh.positions();
        for (int v = 0; v < split.count(); v++) {
            if (b.length - at < record) {
                out.write(b, 0, at);
                at = 0;
            }
            int o = 3 * split.original(mesh, v);
            BinaryInput.putFloat(b, at, p[o]);
            BinaryInput.putFloat(b, at + 4, p[o + 1]);
            BinaryInput.putFloat(b, at + 8, p[o + 2]);
            at += 12;
            for (Column column : columns) {
                float value = value(column, split, v);
                switch (column.type) {
                    case UINT8 -> b[at] = (byte) stored(column, value);
                    case UINT16 -> BinaryInput.putShort(b, at, (short) stored(column, value));
                    case INT32 -> BinaryInput.putInt(b, at, stored(column, value));
                    default -> BinaryInput.putFloat(b, at, value);
                }
                at += column.type.size;
            }
            report(stage, v);
        }
        out.write(b, 0, at);
        writeFaces(out, split.indices(), b, stage);
    }

    private void writeFaces(OutputStream out, int[] indices, byte[] b, Task.Stage stage) throws IOException {
        Polygons polygons = mesh.polygons().orElse(null);
        boolean shortLists = largestFace() < 256;
        int at = 0;
        int faces = faceCount();
        for (int f = 0; f < faces; f++) {
            int size = polygons == null ? 3 : polygons.cornerCount(f);
            if (b.length - at < 8) {
                out.write(b, 0, at);
                at = 0;
            }
            if (shortLists) {
                b[at++] = (byte) size;
            } else {
                BinaryInput.putInt(b, at, size);
                at += 4;
            }
            for (int k = 0; k < size; k++) {
                if (b.length - at < 4) {
                    out.write(b, 0, at);
                    at = 0;
                }
                BinaryInput.putInt(b, at, indices[polygons == null ? 3 * f + k : polygons.corner(f, k)]);
                at += 4;
            }
            report(stage, f);
        }
        out.write(b, 0, at);
    }

    private static void report(Task.Stage stage, int done) {
        if ((done + 1) % REPORT_EVERY == 0) {
            stage.advance(REPORT_EVERY);
        }
    }
}
