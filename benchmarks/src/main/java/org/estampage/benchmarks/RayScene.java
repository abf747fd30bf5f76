package org.estampage.benchmarks;

import java.io.IOException;
import java.io.UncheckedIOException;
import java.nio.file.Path;
import java.util.List;
import java.util.Objects;
import java.util.Optional;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import org.estampage.bvh.RayBatch;
import org.estampage.io.MeshFiles;
import org.estampage.mesh.Bounds;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;
import org.estampage.testresources.FetchedMeshes;
import org.estampage.testresources.Npy;
import org.estampage.testresources.OffReader;
import org.estampage.testresources.Shape;
import org.estampage.testresources.Shapes;

/**
 * A mesh with projection rays, as a bake would send them from a cage around it.
 *
 * @param name   column, terrain, bunny or elephant
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

    /** Scenes that {@code test-resources/fetch} brings. */
    static final List<String> FETCHED = List.of("terrain", "bunny", "elephant");
    private static final double TERRAIN_SPACING = 30;
    /** Numbers that fit into an int, and make a column. */
    private static final Pattern COLUMN_NAME = Pattern.compile("column-([1-9][0-9]{3,7})");

    static RayScene column(int triangles) {
        return new RayScene("column", triangles, ColumnScene.column(triangles), Cage.COLUMN);
    }

    /** Returns an open mesh, or nothing where it was not fetched. */
    static Optional<RayScene> fetched(String name) {
        try {
            return switch (name) {
                case "terrain" ->
                    FetchedMeshes.terrain().isPresent() ? Optional.of(terrain(FetchedMeshes.terrain().get())) : Optional.empty();
                case "bunny" -> FetchedMeshes.bunny().isPresent()
                        ? Optional.of(around(name, MeshFiles.read(FetchedMeshes.bunny().get(), Task.silent())))
                        : Optional.empty();
                case "elephant" -> FetchedMeshes.refinedElephant().isPresent()
                        ? Optional.of(around(name, mesh(OffReader.read(FetchedMeshes.refinedElephant().get()))))
                        : Optional.empty();
                default -> throw new IllegalArgumentException("scene " + name + " must be column-<triangles>, or one of "
                        + String.join(", ", FETCHED));
            };
        } catch (IOException e) {
            throw new UncheckedIOException(e);
        }
    }

    /**
     * Returns the scene of a name: {@code column-200000}, with any number of triangles, or a fetched mesh.
     *
     * @throws IllegalArgumentException if there is no such scene
     * @throws IllegalStateException    if it was not fetched
     */
    static RayScene named(String name) {
        Matcher column = COLUMN_NAME.matcher(name);
        if (column.matches()) {
            return column(Integer.parseInt(column.group(1)));
        }
        return fetched(name).orElseThrow(() -> new IllegalStateException("scene " + name + " is not there; run test-resources/fetch"));
    }

    private static RayScene terrain(Path file) throws IOException {
        Npy heights = Objects.requireNonNull(Npy.readArchive(file).get("elevation"), "elevation");
        Mesh mesh = mesh(Shapes.terrain(heights.floats(), heights.shape()[1], heights.shape()[0], TERRAIN_SPACING));
        return new RayScene("terrain", mesh.triangleCount(), mesh, Cage.PLANE);
    }

    private static RayScene around(String name, Mesh mesh) {
        return new RayScene(name, mesh.triangleCount(), mesh, Cage.CYLINDER);
    }

    private static Mesh mesh(Shape shape) {
        return Mesh.builder(shape.positions(), shape.triangles()).build();
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
