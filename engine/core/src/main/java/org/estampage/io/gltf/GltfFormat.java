package org.estampage.io.gltf;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.util.List;
import java.util.Objects;
import org.estampage.finding.Findings;
import org.estampage.io.format.MeshFormat;
import org.estampage.io.shared.BinaryInput;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;

/**
 * The glTF 2.0 format: GLB, and JSON with buffers in files beside it or in the JSON itself.
 *
 * <p>Read: the default scene, else the first, else all nodes. Each node with a mesh is a part, its transform applied; a mesh that several nodes show
 * is read as often. Triangles, strips and fans; normals, tangents, all UV and colour sets, skin joints and weights and attributes that begin with an
 * underscore, in every number type, sparse or not. Vertices of a node at exactly the same place become one, so that seams, where the format must
 * repeat vertices, don't tear the surface. Materials: base colour and the names of textures. Triangles without normals beside others that have some
 * get flat ones, as the format says.
 *
 * <p>Written: as {@link GltfModel} says, with the mesh's own materials; a texture is named where a PNG or JPEG file of that name lies beside the
 * target, and left out with a finding where not.
 *
 * @edge v is 1 − v in the file: values below 2⁻²⁴ beside a whole number are rounded away the first time. Of a skin only joints and weights are read;
 *       its transform is not applied.
 * @threads stateless, safe for concurrent calls
 * @source Khronos Group, "glTF 2.0 Specification", 2.0.1 (ISO/IEC 12113:2022), from memory, checked by its validator
 */
public final class GltfFormat implements MeshFormat {
    /** The first four bytes of a GLB file, "glTF". */
    static final int MAGIC = 0x46546c67;

    /** Makes the format. */
    public GltfFormat() {
    }

    @Override
    public String name() {
        return "glTF";
    }

    @Override
    public List<String> endings() {
        return List.of("glb", "gltf");
    }

    @Override
    public boolean recognises(byte[] head, long size) {
        if (head.length >= 4 && BinaryInput.intAt(head, 0) == MAGIC) {
            return true;
        }
        String text = new String(head, StandardCharsets.UTF_8).stripLeading();
        return text.startsWith("{") && (text.contains("\"asset\"") || text.contains("\"accessors\"") || text.contains("\"bufferViews\""));
    }

    @Override
    public Mesh read(Path path, Task task) throws IOException {
        return GltfReader.read(Objects.requireNonNull(path, "path"), Objects.requireNonNull(task, "task"));
    }

    @Override
    public Findings write(Mesh mesh, Path path, Task task) throws IOException {
        return GltfModel.of(mesh).write(path, task);
    }
}
