package org.estampage.io.gltf;

import java.io.IOException;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import org.estampage.finding.Findings;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.MeshSource;
import org.estampage.task.Task;
import org.jspecify.annotations.Nullable;

/**
 * A delivery: meshes, their levels of detail, and materials with textures, to be written as one glTF file. Every option returns a new model.
 *
 * <pre>{@code
 * GltfModel.of(low)
 *         .material(GltfMaterial.named("bollard").texture(GltfTextureUse.NORMAL, GltfTexture.png("bollard-normal", bytes)))
 *         .write(Path.of("out/bollard.glb"), Task.silent());
 * }</pre>
 *
 * <p>Written of a mesh: each part is a node, each material in it a primitive; normals, UV sets with v down, colour sets, skin joints and weights, and
 * further attributes. Tangents are the mesh's own; where it has none and a material has a normal texture, MikkTSpace's of the first UV set are
 * computed. A vertex with several values of an attribute is written several times, one that no triangle uses not at all. Coarser levels are nodes of their own, which the extension
 * {@code MSFT_lod} names: a viewer that does not know it shows the finest level alone.
 *
 * @threads immutable
 * @source Khronos Group, "glTF 2.0 Specification", 2.0.1 (ISO/IEC 12113:2022), from memory, checked by its validator; extension MSFT_lod, from memory
 */
public final class GltfModel {
    /**
     * A mesh and what is drawn in its place from farther away.
     *
     * @param levels the finest first
     */
    record Shape(List<Mesh> levels) {
    }

    private final List<Shape> shapes;
    private final @Nullable GltfMaterial material;
    private final Map<String, GltfMaterial> materials;
    private final boolean besides;

    private GltfModel(List<Shape> shapes, @Nullable GltfMaterial material, Map<String, GltfMaterial> materials, boolean besides) {
        this.shapes = shapes;
        this.material = material;
        this.materials = materials;
        this.besides = besides;
    }

    /** Returns a model of a mesh and its coarser levels of detail, the coarsest last. */
    public static GltfModel of(MeshSource mesh, MeshSource... coarser) {
        return new GltfModel(List.of(shape(mesh, coarser)), null, Map.of(), false);
    }

    private static Shape shape(MeshSource mesh, MeshSource... coarser) {
        List<Mesh> levels = new ArrayList<>();
        levels.add(checked(mesh));
        for (MeshSource level : coarser) {
            levels.add(checked(level));
        }
        return new Shape(List.copyOf(levels));
    }

    private static Mesh checked(MeshSource source) {
        Mesh mesh = source.build();
        if (mesh.triangleCount() == 0) {
            throw new IllegalArgumentException(mesh.name() + " has no triangles, which glTF can't hold");
        }
        return mesh;
    }

    /** Returns this model with a further mesh and its coarser levels of detail. */
    public GltfModel and(MeshSource mesh, MeshSource... coarser) {
        List<Shape> more = new ArrayList<>(shapes);
        more.add(shape(mesh, coarser));
        return new GltfModel(List.copyOf(more), material, materials, besides);
    }

    /** Returns this model with one material on all triangles, but for those that {@link #material(String, GltfMaterial)} gives another. */
    public GltfModel material(GltfMaterial value) {
        return new GltfModel(shapes, Objects.requireNonNull(value, "value"), materials, besides);
    }

    /**
     * Returns this model with a material in place of a mesh's own.
     *
     * @param of a material of one of the meshes, by its name
     * @throws IllegalArgumentException if no mesh has a material of that name
     */
    public GltfModel material(String of, GltfMaterial value) {
        boolean known = shapes.stream().flatMap(s -> s.levels.stream()).flatMap(m -> m.materials().stream())
                .anyMatch(m -> m.name().equals(of));
        if (!known) {
            throw new IllegalArgumentException("of = \"" + of + "\" must be the name of a material of the meshes");
        }
        Map<String, GltfMaterial> more = new LinkedHashMap<>(materials);
        more.put(of, Objects.requireNonNull(value, "value"));
        return new GltfModel(shapes, material, more, besides);
    }

    /** Returns this model with its textures in files beside the GLB instead of in it; beside a {@code .gltf} they always are. */
    public GltfModel texturesBeside() {
        return new GltfModel(shapes, material, materials, true);
    }

    /**
     * Writes the model: {@code .gltf} is JSON with a {@code .bin} file of the same name and the textures beside it, every other ending a GLB with all
     * in it. Each file appears whole or not at all, the one that names the others last.
     *
     * @return what of the meshes glTF can't carry, or not in that form
     * @throws IllegalArgumentException                   if a material has textures and a mesh that wears it no UVs, or a normal texture and no normals;
     *                                                    or two textures have the same name
     * @throws IOException                                if writing fails
     * @throws java.util.concurrent.CancellationException if the task was cancelled
     */
    public Findings write(Path path, Task task) throws IOException {
        return new GltfWriter(this, Objects.requireNonNull(path, "path"), Objects.requireNonNull(task, "task")).write();
    }

    List<Shape> shapes() {
        return shapes;
    }

    /** Returns what is given in place of a mesh's own material, if anything; null stands for triangles without one. */
    @Nullable
    GltfMaterial materialFor(@Nullable String own) {
        GltfMaterial given = own == null ? null : materials.get(own);
        return given == null ? material : given;
    }

    boolean texturesAreBeside() {
        return besides;
    }
}
