package org.estampage.examples.editor.model;

import java.io.IOException;
import java.nio.file.Path;
import java.util.List;
import java.util.Objects;
import org.estampage.bvh.Bvh;
import org.estampage.bvh.RayTracer;
import org.estampage.io.MeshFiles;
import org.estampage.mesh.Axis;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.Normals;
import org.estampage.raster.UvRaster;
import org.estampage.raster.UvTile;
import org.estampage.task.Task;

/**
 * A mesh that was opened, ready to be drawn and baked.
 *
 * @param file   where it came from
 * @param stored as the file has it
 * @param mesh   with y up: this goes into a bake
 * @param shaded with normals for pictures
 * @param tracer finds the mesh in pictures; a bake takes it, too, so that it is built once
 * @param tiles  the numbers of the UDIM tiles that its charts touch, rising
 */
public record OpenMesh(Path file, Mesh stored, Mesh mesh, Mesh shaded, RayTracer tracer, List<Integer> tiles) {
    /** Copies the list. */
    public OpenMesh {
        tiles = List.copyOf(tiles);
    }

    /**
     * Reads a mesh and prepares it.
     *
     * @param up which axis points up in the file
     * @throws IOException if the file is not there or does not hold what its format demands
     */
    static OpenMesh read(Path file, Axis up, Task task) throws IOException {
        return of(file, MeshFiles.read(file, task), up, task);
    }

    private static OpenMesh of(Path file, Mesh stored, Axis up, Task task) {
        Mesh mesh = stored.up(up);
        List<UvTile> tiles = mesh.uvSets().isEmpty() ? List.of() : UvRaster.tilesOf(mesh);
        return new OpenMesh(file, stored, mesh, Normals.shading(mesh, task), Bvh.build(mesh, task),
                tiles.stream().map(UvTile::number).toList());
    }

    /** Returns the same file's mesh with another axis up. */
    OpenMesh turned(Axis up, Task task) {
        return of(file, stored, up, task);
    }

    /** Returns whether charts lie outside the unit square. */
    public boolean isOnTiles() {
        return tiles.stream().anyMatch(tile -> tile != UvTile.UNIT.number());
    }

    /** Returns the file's name without its folder. */
    public String name() {
        return Objects.requireNonNullElse(file.getFileName(), file).toString();
    }
}
