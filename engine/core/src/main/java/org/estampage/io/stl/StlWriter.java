package org.estampage.io.stl;

import java.io.IOException;
import java.io.OutputStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import org.estampage.finding.Findings;
import org.estampage.io.format.AtomicFile;
import org.estampage.io.shared.BinaryInput;
import org.estampage.io.shared.FileSource;
import org.estampage.io.shared.NotCarried;
import org.estampage.io.shared.TextOut;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;

/**
 * Writes one STL file.
 *
 * @threads confined to one thread at a time
 */
final class StlWriter {
    private static final int BATCH = 1 << 10;
    /** Must not begin with "solid". */
    private static final String TITLE = "binary STL, counter-clockwise facets";

    private StlWriter() {
    }

    static Findings write(Mesh mesh, boolean ascii, Path path, Task task) throws IOException {
        NotCarried lost = new NotCarried("STL");
        noteLost(mesh, ascii, lost);
        Task.Stage stage = task.stage("writing " + FileSource.name(path), mesh.triangleCount());
        AtomicFile.write(path, task, out -> {
            if (ascii) {
                writeText(mesh, out, stage);
            } else {
                writeBinary(mesh, out, stage);
            }
        });
        return Findings.of(lost.findings());
    }

    private static void noteLost(Mesh mesh, boolean ascii, NotCarried lost) {
        if (!ascii && mesh.parts().size() > 1) {
            mesh.parts().forEach(part -> lost.add("parts", part.name()));
        }
        mesh.polygons().ifPresent(polygons -> lost.add("polygons", "written as triangles"));
        mesh.normals().ifPresent(n -> lost.add("normals", n.name()));
        mesh.tangents().ifPresent(t -> lost.add("tangents", t.name()));
        mesh.uvSets().forEach(set -> lost.add("UV sets", set.name()));
        mesh.colourSets().forEach(set -> lost.add("colours", set.name()));
        mesh.extras().forEach(extra -> lost.add("attributes", extra.name()));
        mesh.materials().forEach(material -> lost.add("materials", material.name()));
        mesh.groupLabels().ifPresent(groups -> groups.names().forEach(name -> lost.add("groups", name)));
        if (mesh.smoothingGroups() != null) {
            lost.add("smoothing groups", "all");
        }
    }

    private static void writeBinary(Mesh mesh, OutputStream out, Task.Stage stage) throws IOException {
        byte[] header = new byte[StlFormat.HEADER];
        byte[] title = TITLE.getBytes(StandardCharsets.US_ASCII);
        System.arraycopy(title, 0, header, 0, title.length);
        int count = mesh.triangleCount();
        BinaryInput.putInt(header, StlFormat.HEADER - 4, count);
        out.write(header);
        byte[] batch = new byte[BATCH * StlFormat.FACET];
        float[] facet = new float[12];
        int at = 0;
        for (int t = 0; t < count; t++) {
            fill(mesh, t, facet);
            for (int k = 0; k < 12; k++) {
                BinaryInput.putFloat(batch, at + 4 * k, facet[k]);
            }
            at += StlFormat.FACET;
            if (at == batch.length) {
                out.write(batch);
                at = 0;
                stage.advance(BATCH);
            }
        }
        out.write(batch, 0, at);
        stage.advance(count % BATCH);
    }

    private static void writeText(Mesh mesh, OutputStream stream, Task.Stage stage) throws IOException {
        TextOut out = new TextOut(stream);
        float[] facet = new float[12];
        int count = mesh.triangleCount();
        int part = Integer.MIN_VALUE;
        String name = "";
        for (int t = 0; t < count; t++) {
            int next = mesh.partLabels().of(t);
            if (next != part) {
                if (t > 0) {
                    out.put("endsolid ").put(name).put('\n');
                }
                part = next;
                name = TextOut.oneLine(part < 0 ? mesh.name() : mesh.partLabels().names().get(part));
                out.put("solid ").put(name).put('\n');
            }
            fill(mesh, t, facet);
            numbers(out.put("facet normal"), facet, 0);
            out.put("outer loop\n");
            for (int k = 3; k < 12; k += 3) {
                numbers(out.put("vertex"), facet, k);
            }
            out.put("endloop\nendfacet\n");
            if ((t + 1) % BATCH == 0) {
                stage.advance(BATCH);
            }
        }
        if (count > 0) {
            out.put("endsolid ").put(name).put('\n');
        }
        out.flush();
        stage.advance(count % BATCH);
    }

    private static void numbers(TextOut out, float[] values, int from) throws IOException {
        out.put(' ').put(values[from]).put(' ').put(values[from + 1]).put(' ').put(values[from + 2]).put('\n');
    }

    /** Fills the facet normal and three corners; a triangle without area gets the normal 0. */
    private static void fill(Mesh mesh, int triangle, float[] dest) {
        float[] p = mesh.positions();
        for (int k = 0; k < 3; k++) {
            System.arraycopy(p, 3 * mesh.positionIndices()[3 * triangle + k], dest, 3 + 3 * k, 3);
        }
        double ux = (double) dest[6] - dest[3], uy = (double) dest[7] - dest[4], uz = (double) dest[8] - dest[5];
        double vx = (double) dest[9] - dest[3], vy = (double) dest[10] - dest[4], vz = (double) dest[11] - dest[5];
        double x = uy * vz - uz * vy, y = uz * vx - ux * vz, z = ux * vy - uy * vx;
        double length = Math.sqrt(x * x + y * y + z * z);
        boolean some = length > 0 && length < Double.POSITIVE_INFINITY;
        dest[0] = some ? (float) (x / length) : 0;
        dest[1] = some ? (float) (y / length) : 0;
        dest[2] = some ? (float) (z / length) : 0;
    }
}
