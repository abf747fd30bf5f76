package org.estampage.io.obj;

import java.io.IOException;
import java.io.OutputStream;
import java.nio.file.Path;
import java.util.List;
import org.estampage.finding.Findings;
import org.estampage.io.format.AtomicFile;
import org.estampage.io.shared.FileSource;
import org.estampage.io.shared.NotCarried;
import org.estampage.io.shared.TextOut;
import org.estampage.io.shared.VertexAttributes;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Labels;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.Polygons;
import org.estampage.task.Task;
import org.jspecify.annotations.Nullable;

/**
 * Writes one OBJ file, and its MTL file first: a reader that sees the one finds the other.
 *
 * @threads confined to one thread at a time
 */
final class ObjWriter {
    private static final int REPORT_EVERY = 1 << 14;

    private final Mesh mesh;
    private final Task task;
    private final NotCarried lost = new NotCarried("OBJ");

    private ObjWriter(Mesh mesh, Task task) {
        this.mesh = mesh;
        this.task = task;
    }

    static Findings write(Mesh mesh, Path path, Task task) throws IOException {
        return new ObjWriter(mesh, task).write(path);
    }

    private Findings write(Path path) throws IOException {
        @Nullable
        String library = null;
        if (!mesh.materials().isEmpty()) {
            library = FileSource.stem(path) + ".mtl";
            AtomicFile.write(path.resolveSibling(library), task, out -> MaterialWriter.write(mesh.materials(), out));
            mesh.materials().forEach(m -> m.textures().keySet().stream().filter(use -> !MaterialWriter.carries(use))
                    .forEach(use -> lost.add("textures", use + " of " + m.name())));
        }
        String mtl = library;
        Attribute colours = colours();
        noteLost();
        AtomicFile.write(path, task, out -> body(out, mtl, colours, task.stage("writing " + FileSource.name(path), total())));
        return Findings.of(lost.findings());
    }

    /** Returns a name as a statement's last word, so that it is read back: a backslash at its end would join the next line. */
    static String name(String name) {
        String text = TextOut.oneLine(name);
        return text.endsWith("\\") ? text + " " : text;
    }

    private @Nullable Attribute colours() {
        if (mesh.colourSets().isEmpty()) {
            return null;
        }
        Attribute first = mesh.colourSets().get(0);
        Attribute byVertex = VertexAttributes.byVertex(mesh, first);
        if (byVertex == null) {
            lost.add("colours", first.name() + ": a vertex has several");
        } else if (byVertex.components() == 4) {
            lost.add("colours", first.name() + ": its alpha");
        }
        return byVertex;
    }

    private void noteLost() {
        mesh.colourSets().stream().skip(1).forEach(set -> lost.add("colours", set.name()));
        mesh.uvSets().stream().skip(1).forEach(set -> lost.add("UV sets", set.name()));
        mesh.tangents().ifPresent(t -> lost.add("tangents", t.name()));
        mesh.extras().forEach(extra -> lost.add("attributes", extra.name()));
    }

    private long total() {
        long uvs = mesh.uvSets().isEmpty() ? 0 : mesh.uvSets().get(0).count();
        return mesh.vertexCount() + uvs + mesh.normals().map(Attribute::count).orElse(0) + mesh.triangleCount();
    }

    private void body(OutputStream stream, @Nullable String library, @Nullable Attribute colours, Task.Stage stage) throws IOException {
        TextOut out = new TextOut(stream);
        if (library != null) {
            out.put("mtllib ").put(name(library)).put('\n');
        }
        positions(out, colours, stage);
        Attribute uvs = mesh.uvSets().isEmpty() ? null : mesh.uvSets().get(0);
        if (uvs != null) {
            rows(out, "vt", uvs, stage);
        }
        Attribute normals = mesh.normals().orElse(null);
        if (normals != null) {
            rows(out, "vn", normals, stage);
        }
        faces(out, uvs, normals, stage);
        out.flush();
    }

    private void positions(TextOut out, @Nullable Attribute colours, Task.Stage stage) throws IOException {
        float[] p = mesh.positions();
        float[] c = colours == null ? new float[0] : colours.values();
        int stride = colours == null ? 0 : colours.components();
        int count = mesh.vertexCount();
        for (int i = 0; i < count; i++) {
            out.put("v ").put(p[3 * i]).put(' ').put(p[3 * i + 1]).put(' ').put(p[3 * i + 2]);
            if (stride != 0) {
                out.put(' ').put(c[stride * i]).put(' ').put(c[stride * i + 1]).put(' ').put(c[stride * i + 2]);
            }
            out.put('\n');
            report(stage, i, count);
        }
    }

    private static void rows(TextOut out, String statement, Attribute attribute, Task.Stage stage) throws IOException {
        float[] values = attribute.values();
        int components = attribute.components();
        int count = attribute.count();
        for (int i = 0; i < count; i++) {
            out.put(statement);
            for (int k = 0; k < components; k++) {
                out.put(' ').put(values[components * i + k]);
            }
            out.put('\n');
            report(stage, i, count);
        }
    }

    private static void report(Task.Stage stage, int done, int count) {
        if ((done + 1) % REPORT_EVERY == 0) {
            stage.advance(REPORT_EVERY);
        } else if (done + 1 == count) {
            stage.advance(count % REPORT_EVERY);
        }
    }

    private void faces(TextOut out, @Nullable Attribute uvs, @Nullable Attribute normals, Task.Stage stage) throws IOException {
        Polygons polygons = mesh.polygons().orElse(null);
        int[] v = mesh.positionIndices();
        int @Nullable [] t = uvs == null ? null : uvs.indices();
        int @Nullable [] n = normals == null ? null : normals.indices();
        int[] smoothing = mesh.smoothingGroups();
        Statements parts = new Statements("o", mesh.partLabels(), mesh.name());
        Statements groups = new Statements("g", mesh.groupLabels().orElse(null), "");
        Statements materials = new Statements("usemtl", mesh.materialLabels().orElse(null), "");
        int group = -1;
        int faces = polygons == null ? mesh.triangleCount() : polygons.count();
        for (int f = 0; f < faces; f++) {
            int triangle = polygons == null ? f : polygons.firstTriangle(f);
            parts.before(triangle, out);
            groups.before(triangle, out);
            materials.before(triangle, out);
            if (smoothing != null && smoothing[triangle] != group) {
                group = smoothing[triangle];
                out.put("s ").put(group == 0 ? "off" : Integer.toString(group)).put('\n');
            }
            out.put('f');
            int size = polygons == null ? 3 : polygons.cornerCount(f);
            for (int k = 0; k < size; k++) {
                int corner = polygons == null ? 3 * f + k : polygons.corner(f, k);
                out.put(' ').put(v[corner] + 1);
                if (t != null) {
                    out.put('/').put(t[corner] + 1);
                }
                if (n != null) {
                    out.put(t == null ? "//" : "/").put(n[corner] + 1);
                }
            }
            out.put('\n');
            report(stage, f, faces);
        }
    }

    /** One kind of statement, written where its name changes. */
    private static final class Statements {
        private final String keyword;
        private final @Nullable Labels labels;
        private final String unnamed;
        private int last = Integer.MIN_VALUE;

        Statements(String keyword, @Nullable Labels labels, String unnamed) {
            this.keyword = keyword;
            this.labels = labels;
            this.unnamed = unnamed;
        }

        void before(int triangle, TextOut out) throws IOException {
            if (labels == null || labels.of(triangle) == last) {
                return;
            }
            boolean first = last == Integer.MIN_VALUE;
            last = labels.of(triangle);
            List<String> names = labels.names();
            String name = name(last < 0 ? unnamed : names.get(last));
            if (first && name.isEmpty() && last < 0) { // nothing holds yet
                return;
            }
            out.put(keyword).put(name.isEmpty() ? "" : " ").put(name).put('\n');
        }
    }
}
