package org.estampage.io.ply;

import java.io.IOException;
import java.nio.file.Path;
import java.util.List;
import java.util.Objects;
import org.estampage.finding.Findings;
import org.estampage.io.format.MeshFormat;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;

/**
 * The PLY format. Text and both binary orders are read by the same object; the two objects differ in what they write.
 *
 * <p>Read of a vertex, in any order and any number type: {@code x y z}; normals {@code nx ny nz}; UVs {@code s t}, {@code u v} or
 * {@code texture_u texture_v}; colours {@code red green blue} with or without {@code alpha}, where bytes and unsigned shorts stand for 0 … 1; every
 * other single value becomes an attribute that is carried along. Read of a face: {@code vertex_indices} or {@code vertex_index}. Lists of vertices,
 * other properties of faces and other elements are passed over with a finding.
 *
 * <p>Written: the polygons instead of their triangles; normals, the first UV set as {@code s t}, the first colour set, carried attributes. PLY has
 * one value a vertex: a vertex with several normals, UVs or colours is written several times, the first time in its place, the others behind all
 * vertices. Names, materials, groups and further sets are not carried; {@link #write} says so.
 *
 * @edge vertices that no face uses are kept; doubles and long integers are rounded to floats, with a finding
 * @threads stateless, safe for concurrent calls
 * @source Turk, "The PLY Polygon File Format", 1994 (from memory); the names of normals, UVs and colours: common practice, no source
 */
public final class PlyFormat implements MeshFormat {
    private final boolean ascii;

    private PlyFormat(boolean ascii) {
        this.ascii = ascii;
    }

    /** Returns the format that writes binary files, least byte first. */
    public static PlyFormat binary() {
        return new PlyFormat(false);
    }

    /** Returns the format that writes text. */
    public static PlyFormat ascii() {
        return new PlyFormat(true);
    }

    @Override
    public String name() {
        return "PLY";
    }

    @Override
    public List<String> endings() {
        return List.of("ply");
    }

    @Override
    public boolean recognises(byte[] head, long size) {
        return head.length > 3 && head[0] == 'p' && head[1] == 'l' && head[2] == 'y'
                && (head[3] == '\n' || head[3] == '\r' || head[3] == ' ');
    }

    @Override
    public Mesh read(Path path, Task task) throws IOException {
        return PlyReader.read(Objects.requireNonNull(path, "path"), Objects.requireNonNull(task, "task"));
    }

    @Override
    public Findings write(Mesh mesh, Path path, Task task) throws IOException {
        return PlyWriter.write(Objects.requireNonNull(mesh, "mesh"), ascii, Objects.requireNonNull(path, "path"),
                Objects.requireNonNull(task, "task"));
    }
}
