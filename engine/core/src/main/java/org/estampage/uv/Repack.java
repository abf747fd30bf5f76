package org.estampage.uv;

import java.util.List;
import java.util.Objects;
import org.estampage.mesh.InvalidMeshException;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.MeshSource;

/**
 * Packs the charts anew that a mesh's first UV set has: for another size or gutter, at an even texel density, or because they lay one upon the other.
 *
 * <p>Charts keep their shapes: each is turned, moved and scaled as a whole, never mirrored. Each gets the same texel density, area of texels by area on the
 * mesh. Triangles are of one chart where their UVs are the same on both sides of an edge; vertices at the same place count as one.
 *
 * <p>Charts that lie exactly on each other stay so, and so do copies a whole number of units apart if one of them is outside of all tiles; those end up
 * below all tiles. A chart that is folded or overlaps itself keeps its shape like any other; the findings name it. A chart without area in UV space or on
 * the mesh gets a point.
 *
 * <p>The charts' new places are a new first UV set under the old name; further sets, positions, polygons, normals and parts stay. Given tangents are taken
 * away, since charts are turned. What was done stands in the mesh's findings ({@code uv-packed}).
 *
 * @units mesh units, texels of the target size
 * @space u right, v up
 * @threads confined; {@link #build} works on the caller's fork-join pool or the common one, and gives the same UVs on any number of threads
 * @cost a second or some for 50 charts on two cores
 */
public final class Repack extends KeptCharts<Repack> implements MeshSource {
    private final MeshSource source;

    private Repack(MeshSource source) {
        this.source = source;
    }

    /** Starts a repack, for 2048 × 2048 texels with a gutter of 16. */
    public static Repack of(MeshSource mesh) {
        return new Repack(Objects.requireNonNull(mesh, "mesh"));
    }

    @Override
    Repack self() {
        return this;
    }

    /**
     * Returns the mesh with its charts packed anew.
     *
     * @edge a mesh without triangles comes back as it is
     * @throws InvalidMeshException     if there are no UVs, or positions or UVs are not finite
     * @throws IllegalArgumentException if gutter and border leave no room, or not enough for the density asked for
     */
    @Override
    public Mesh build() {
        return task().recalled(Mesh.class, this, () -> packed(List.of(source), new double[] {1}).get(0));
    }
}
