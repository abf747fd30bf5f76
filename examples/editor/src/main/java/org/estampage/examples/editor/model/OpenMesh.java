package org.estampage.examples.editor.model;

import java.io.IOException;
import java.nio.file.Path;
import java.util.Objects;
import org.estampage.bvh.Bvh;
import org.estampage.bvh.RayTracer;
import org.estampage.io.MeshFiles;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.Normals;
import org.estampage.task.Task;

/**
 * A mesh that was opened, ready to be drawn and baked.
 *
 * @param file   where it came from
 * @param mesh   as the file has it: this goes into a bake
 * @param shaded with normals for pictures
 * @param tracer finds the mesh in pictures; a bake takes it, too, so that it is built once
 */
public record OpenMesh(Path file, Mesh mesh, Mesh shaded, RayTracer tracer) {
    /**
     * Reads a mesh and prepares it.
     *
     * @throws IOException if the file is not there or does not hold what its format demands
     */
    public static OpenMesh read(Path file, Task task) throws IOException {
        Mesh mesh = MeshFiles.read(file, task);
        return of(file, mesh, task);
    }

    /** Prepares a mesh that was made here. */
    public static OpenMesh of(Path file, Mesh mesh, Task task) {
        return new OpenMesh(file, mesh, Normals.shading(mesh), Bvh.build(mesh, task));
    }

    /** Returns the file's name without its folder. */
    public String name() {
        return Objects.requireNonNullElse(file.getFileName(), file).toString();
    }
}
