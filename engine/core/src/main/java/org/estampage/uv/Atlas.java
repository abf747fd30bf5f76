package org.estampage.uv;

import java.util.Arrays;
import java.util.List;
import org.estampage.mesh.InvalidMeshException;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.MeshSource;

/**
 * Packs the charts of several meshes together, so that one image holds all of them: an atlas of props.
 *
 * <p>What happens to a chart is what {@link Repack} does with those of a single mesh. All meshes get the same texel density, in texels a mesh unit, unless
 * {@link #density} says otherwise; so they have to be in the same unit. Charts of different meshes are always kept apart, even where the meshes are copies.
 *
 * <p>Each mesh is baked by a job of its own, at the atlas' size. With a padding of half the gutter its maps hold nothing where the other meshes' charts
 * lie, and can be laid over each other; by default a bake's padding goes on everywhere.
 *
 * @units mesh units, texels of the target size
 * @space u right, v up
 * @threads confined; {@link #build} works on the caller's fork-join pool or the common one, and gives the same UVs on any number of threads
 * @cost a second or some for 50 charts on two cores
 */
public final class Atlas extends KeptCharts<Atlas> {
    private final List<MeshSource> sources;
    private final double[] weights;

    private Atlas(List<MeshSource> sources) {
        this.sources = sources;
        weights = new double[sources.size()];
        Arrays.fill(weights, 1);
    }

    /**
     * Starts an atlas, for 2048 × 2048 texels with a gutter of 16.
     *
     * @throws IllegalArgumentException if there is no mesh
     */
    public static Atlas of(MeshSource... meshes) {
        if (meshes.length == 0) {
            throw new IllegalArgumentException("meshes: 0 are given, an atlas needs at least 1");
        }
        return new Atlas(List.of(meshes));
    }

    @Override
    Atlas self() {
        return this;
    }

    /**
     * Sets the texel density of a mesh, as a multiple of the others'.
     *
     * @param mesh its number, from 0
     * @throws IllegalArgumentException if there is no such mesh, or the weight is not 0.01 … 100
     */
    public Atlas density(int mesh, double weight) {
        weights[inRange("mesh", mesh, 0, weights.length - 1)] = inRange("weight", weight, 0.01, 100);
        return this;
    }

    /**
     * Returns the meshes in their order, their charts in one layout.
     *
     * @edge a mesh without triangles comes back as it is
     * @throws InvalidMeshException     if a mesh has no UVs, or positions or UVs are not finite; it lists all
     * @throws IllegalArgumentException if gutter and border leave no room, or not enough for the density asked for
     */
    public List<Mesh> build() {
        return task().recalled(Packed.class, this, () -> new Packed(packed(sources, weights))).meshes();
    }

    /** All meshes as one value. */
    private record Packed(List<Mesh> meshes) {
    }
}
