package org.estampage.benchmarks;

import java.io.IOException;
import java.io.UncheckedIOException;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import org.estampage.bvh.RayBatch;
import org.estampage.io.MeshFiles;
import org.estampage.mesh.Bounds;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;
import org.estampage.testresources.FetchedMeshes;
import org.estampage.testresources.Npy;
import org.estampage.testresources.Shape;
import org.estampage.testresources.Shapes;

/**
 * A mesh with projection rays, as a bake would send them from a cage around it.
 *
 * @param name   column, terrain or bunny
 * @param size   triangles asked for or found
 * @param mesh   the mesh
 * @param cage   which way its projection rays go
 */
record RayScene(String name, int size, Mesh mesh, Cage cage) {
    /** Where projection rays come from. */
    private enum Cage {
        /** The column's own cylinder. */
        COLUMN,
        /** A cylinder about the y axis through the middle of the bounds. */
        CYLINDER,
        /** A plane above. */
        PLANE
    }

    private static final double TERRAIN_SPACING = 30;

    static RayScene column(int triangles) {
        return new RayScene("column", triangles, ColumnScene.column(triangles), Cage.COLUMN);
    }

    /** Returns the open meshes that were fetched. */
    static List<RayScene> fetched() {
        List<RayScene> scenes = new ArrayList<>();
        try {
            if (FetchedMeshes.terrain().isPresent()) {
                Map<String, Npy> arrays = Npy.readArchive(FetchedMeshes.terrain().get());
                Npy heights = Objects.requireNonNull(arrays.get("elevation"), "elevation");
                Shape shape = Shapes.terrain(heights.floats(), heights.shape()[1], heights.shape()[0], TERRAIN_SPACING);
                Mesh mesh = Mesh.builder(shape.positions(), shape.triangles()).build();
                scenes.add(new RayScene("terrain", mesh.triangleCount(), mesh, Cage.PLANE));
            }
            if (FetchedMeshes.bunny().isPresent()) {
                Mesh mesh = MeshFiles.read(FetchedMeshes.bunny().get(), Task.silent());
                scenes.add(new RayScene("bunny", mesh.triangleCount(), mesh, Cage.CYLINDER));
            }
        } catch (IOException e) {
            throw new UncheckedIOException(e);
        }
        return scenes;
    }

    /** Returns the length of the diagonal of the bounds. */
    double diagonal() {
        return Math.hypot(Math.hypot(extent(0), extent(1)), extent(2));
    }

    /** Returns the least coordinate on an axis. */
    float least(int axis) {
        Bounds b = mesh.bounds();
        return axis == 0 ? b.minX() : axis == 1 ? b.minY() : b.minZ();
    }

    private float greatest(int axis) {
        Bounds b = mesh.bounds();
        return axis == 0 ? b.maxX() : axis == 1 ? b.maxY() : b.maxZ();
    }

    double extent(int axis) {
        return (double) greatest(axis) - least(axis);
    }

    /** Appends projection ray {@code texel} of {@code side}², counted in Morton order. */
    void addProjectionRay(int texel, int side, RayBatch dest) {
        double u = (ColumnScene.even(texel) + 0.5) / side;
        double v = (ColumnScene.even(texel >>> 1) + 0.5) / side;
        switch (cage) {
            case COLUMN -> ColumnScene.addProjectionRay(texel, side, dest);
            case CYLINDER -> {
                double radius = 0.55 * Math.hypot(extent(0), extent(2));
                double cos = Math.cos(2 * Math.PI * u);
                double sin = Math.sin(2 * Math.PI * u);
                dest.add((float) (least(0) + extent(0) / 2 + radius * cos), (float) (least(1) + extent(1) * v),
                        (float) (least(2) + extent(2) / 2 - radius * sin), (float) -cos, -0.02f, (float) sin, 0, Float.POSITIVE_INFINITY);
            }
            case PLANE -> dest.add((float) (least(0) + extent(0) * u), (float) (greatest(1) + 0.05 * extent(1)),
                    (float) (least(2) + extent(2) * v), 0.02f, -1, -0.01f, 0, Float.POSITIVE_INFINITY);
        }
    }
}
