package org.estampage.lowpoly;

import java.util.Objects;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.MeshSource;

/**
 * One level of a chain, and how far it is from the mesh that the chain started at.
 *
 * @param mesh     the level, with UVs that fit the first mesh's maps
 * @param distance the larger one of the distances from the first mesh and to it, in mesh units
 * @param shift    how far detail moves on the surface: between points of this level and the points of the first mesh with the same UVs; zeros if the
 *                 first mesh has no UVs
 * @threads immutable
 */
public record Lod(Mesh mesh, SurfaceDistance distance, Shift shift) implements MeshSource {
    /** Checks that nothing is null. */
    public Lod {
        Objects.requireNonNull(mesh, "mesh");
        Objects.requireNonNull(distance, "distance");
        Objects.requireNonNull(shift, "shift");
    }

    /**
     * How far what a map shows is from where it was, in mesh units; the distance of the surfaces is part of it.
     *
     * @param mean    the mean over points spread evenly over the level
     * @param largest the largest that was met
     * @edge where charts of the first mesh overlap, a point may find the other chart
     */
    public record Shift(double mean, double largest) {
    }

    @Override
    public Mesh build() {
        return mesh;
    }

    @Override
    public String toString() {
        return mesh.name() + ": " + mesh.triangleCount() + " triangles, at most " + (float) distance.largest() + " away";
    }
}
