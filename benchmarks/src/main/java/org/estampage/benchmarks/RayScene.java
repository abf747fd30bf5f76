package org.estampage.benchmarks;

import java.io.IOException;
import java.io.UncheckedIOException;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import org.estampage.bvh.RayBatch;
import org.estampage.io.MeshFiles;
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
 * @param bounds least x y z, greatest x y z
 */
@SuppressWarnings("ArrayRecordComponent") // never compared
record RayScene(String name, int size, Mesh mesh, Cage cage, float[] bounds) {
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
        return of("column", triangles, ColumnScene.column(triangles), Cage.COLUMN);
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
                scenes.add(of("terrain", mesh.triangleCount(), mesh, Cage.PLANE));
            }
            if (FetchedMeshes.bunny().isPresent()) {
                Mesh mesh = MeshFiles.read(FetchedMeshes.bunny().get(), Task.silent());
                scenes.add(of("bunny", mesh.triangleCount(), mesh, Cage.CYLINDER));
            }
        } catch (IOException e) {
            throw new UncheckedIOException(e);
        }
        return scenes;
    }

    private static RayScene of(String name, int size, Mesh mesh, Cage cage) {
        float[] bounds = {Float.MAX_VALUE, Float.MAX_VALUE, Float.MAX_VALUE, -Float.MAX_VALUE, -Float.MAX_VALUE, -Float.MAX_VALUE};
        float[] p = mesh.positions();
        for (int i = 0; i < p.length; i++) {
            bounds[i % 3] = Math.min(bounds[i % 3], p[i]);
            bounds[3 + i % 3] = Math.max(bounds[3 + i % 3], p[i]);
        }
        return new RayScene(name, size, mesh, cage, bounds);
    }

    /** Returns the length of the diagonal of the bounds. */
    double diagonal() {
        return Math.hypot(Math.hypot(extent(0), extent(1)), extent(2));
    }

    double extent(int axis) {
        return (double) bounds[3 + axis] - bounds[axis];
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
                dest.add((float) (bounds[0] + extent(0) / 2 + radius * cos), (float) (bounds[1] + extent(1) * v),
                        (float) (bounds[2] + extent(2) / 2 - radius * sin), (float) -cos, -0.02f, (float) sin, 0, Float.POSITIVE_INFINITY);
            }
            case PLANE -> dest.add((float) (bounds[0] + extent(0) * u), (float) (bounds[4] + 0.05 * extent(1)),
                    (float) (bounds[2] + extent(2) * v), 0.02f, -1, -0.01f, 0, Float.POSITIVE_INFINITY);
        }
    }
}
