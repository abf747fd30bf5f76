package org.estampage.io.obj;

import java.io.IOException;
import java.nio.file.Path;
import java.util.List;
import java.util.Objects;
import java.util.Set;
import org.estampage.finding.Findings;
import org.estampage.io.format.MeshFormat;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;

/**
 * The OBJ format with its material files.
 *
 * <p>Read: {@code v} (also with a colour), {@code vt}, {@code vn}, {@code f} with all its corner forms and negative numbers, {@code o}, {@code g},
 * {@code s}, {@code usemtl}, {@code mtllib}. Parts are the {@code o} lines; without any, the {@code g} lines; {@code g} lines beside {@code o}
 * lines are groups. Faces before the first name belong to a part named like the file; equal names are one part; names without faces are left out.
 * Written: the same statements, the polygons instead of their triangles, and the materials beside the file in an MTL file of its name; of several
 * UV and colour sets the first one.
 *
 * @edge faces without a UV where others have one point to an added (0, 0); faces without a normal to an added plane normal; both are findings
 * @threads stateless, safe for concurrent calls
 * @source the statements: Wavefront Technologies, "Object Files (.obj)", appendix B1 of the Advanced Visualizer manual (from memory); vertex colours
 *         behind the coordinates and {@code norm}: common practice, no source
 */
public final class ObjFormat implements MeshFormat {
    private static final Set<String> FIRST_WORDS = Set.of("v", "vt", "vn", "f", "o", "g", "s", "mtllib", "usemtl", "vp");

    /** Makes the format. */
    public ObjFormat() {
    }

    @Override
    public String name() {
        return "OBJ";
    }

    @Override
    public List<String> endings() {
        return List.of("obj");
    }

    /** Looks at the first word that is not a comment. */
    @Override
    public boolean recognises(byte[] head, long size) {
        int at = 0;
        while (at < head.length) {
            int from = at;
            while (at < head.length && (head[at] & 0xff) > ' ') {
                at++;
            }
            if (at > from && head[from] != '#') {
                String word = new String(head, from, at - from, java.nio.charset.StandardCharsets.ISO_8859_1);
                return at < head.length && FIRST_WORDS.contains(word.startsWith("\u00ef\u00bb\u00bf") ? word.substring(3) : word);
            }
            boolean comment = at > from;
            while (comment && at < head.length && head[at] != '\n' && head[at] != '\r') {
                at++;
            }
            at++;
        }
        return false;
    }

    @Override
    public Mesh read(Path path, Task task) throws IOException {
        return ObjReader.read(Objects.requireNonNull(path, "path"), Objects.requireNonNull(task, "task"));
    }

    /** {@inheritDoc} The materials go into a file of the same name that ends in {@code .mtl}; one that stands there is replaced. */
    @Override
    public Findings write(Mesh mesh, Path path, Task task) throws IOException {
        return ObjWriter.write(Objects.requireNonNull(mesh, "mesh"), Objects.requireNonNull(path, "path"),
                Objects.requireNonNull(task, "task"));
    }
}
