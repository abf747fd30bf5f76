package org.estampage.handover;

import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.EnumMap;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.Optional;
import org.estampage.bake.BakeResult;
import org.estampage.bake.BakedMap;
import org.estampage.bake.BakedTile;
import org.estampage.finding.Findings;
import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.image.ImageSource;
import org.estampage.io.format.SampleFormat;
import org.estampage.io.gltf.GltfMaterial;
import org.estampage.io.gltf.GltfModel;
import org.estampage.io.gltf.GltfTexture;
import org.estampage.io.gltf.GltfTextureUse;
import org.estampage.io.png.PngFormat;
import org.estampage.material.ChannelPack;
import org.estampage.material.Finish;
import org.estampage.mesh.Material;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.MeshSource;
import org.estampage.mesh.Normals;
import org.estampage.raster.UvTile;
import org.estampage.task.Task;
import org.jspecify.annotations.Nullable;

/**
 * The low poly dressed in its maps, as one glTF 2.0 model: with the normals and tangents of the bake, and a material of the maps that a viewer can use.
 *
 * <p>Taken from the bake, where it has them: {@code normal} (written with green up, whatever the map says), {@code occlusion}, {@code colour} with
 * {@code opacity}, and maps of one's own called {@code roughness} and {@code metal}. Images that are given take their places. What the low poly brought
 * along (names, parts, further UV sets, colours, weights) goes out with it; a job on UDIM tiles gets a material for each tile.
 *
 * @threads immutable
 * @source Khronos Group, "glTF 2.0 Specification", 2.0.1, section 3.9 (materials): occlusion in red, roughness in green, metal in blue; normal textures
 *         linear with +Y up; base colour in sRGB
 */
public final class ModelFiles {
    /** What an image is for. */
    private enum Slot {
        NORMAL("normal"), OCCLUSION("occlusion"), BASE_COLOUR("colour"), OPACITY("opacity"), ROUGHNESS("roughness"), METAL("metal");

        final String map;

        Slot(String map) {
            this.map = map;
        }
    }

    private static final String[] PACKED = {"occlusion", "roughness", "metal"};

    private final BakeResult result;
    private final Mesh low;
    private final List<Mesh> coarser;
    private final Map<Slot, FloatImage> given;
    private final String name;
    private final int bits;
    private final boolean beside;
    private final boolean cutOut;

    private ModelFiles(BakeResult result, Mesh low, List<Mesh> coarser, Map<Slot, FloatImage> given, String name, int bits, boolean beside,
            boolean cutOut) {
        this.result = result;
        this.low = low;
        this.coarser = coarser;
        this.given = given;
        this.name = name;
        this.bits = bits;
        this.beside = beside;
        this.cutOut = cutOut;
    }

    /** Returns the model of a bake's low poly. */
    public static ModelFiles of(BakeResult result) {
        Mesh low = result.low();
        return new ModelFiles(result, low, List.of(), new EnumMap<>(Slot.class), fileName(low.name()), 8, false, false);
    }

    /**
     * Returns the model of a bake's low poly, checking that it is the one that is meant.
     *
     * @throws IllegalArgumentException if {@code low} has other triangles or UVs than the low poly that was baked
     */
    public static ModelFiles of(BakeResult result, MeshSource low) {
        Mesh meant = low.build();
        Mesh baked = result.low();
        boolean same = java.util.Arrays.equals(meant.positionIndices(), baked.positionIndices())
                && java.util.Arrays.equals(meant.positions(), baked.positions()) && !meant.uvSets().isEmpty()
                && java.util.Arrays.equals(meant.uvSets().get(0).values(), baked.uvSets().get(0).values())
                && java.util.Arrays.equals(meant.uvSets().get(0).indices(), baked.uvSets().get(0).indices());
        if (!same) {
            throw new IllegalArgumentException("low = " + meant.name() + " is not the mesh that was baked, " + baked.name()
                    + ": its positions, triangles or UVs differ, and the maps fit only those");
        }
        return of(result);
    }

    /** Returns a mesh's name as textures' files may have it. */
    private static String fileName(String meshName) {
        String plain = meshName.replaceAll("[^\\p{L}\\p{N} ._-]", "_").strip().replaceAll("^\\.+|\\.+$", "_");
        return plain.isEmpty() ? "mesh" : plain;
    }

    /**
     * Returns the model with coarser levels of detail that share the maps. Those without normals get smooth ones.
     *
     * @param levels the coarsest last
     */
    public ModelFiles coarser(MeshSource... levels) {
        List<Mesh> built = new ArrayList<>();
        for (MeshSource level : levels) {
            Mesh mesh = level.build();
            built.add(mesh.normals().isPresent() ? mesh : Normals.smooth(mesh)); // as the bake does
        }
        return new ModelFiles(result, low, List.copyOf(built), given, name, bits, beside, cutOut);
    }

    /** Returns the model with another base colour, linear; a fourth channel is opacity. */
    public ModelFiles baseColour(ImageSource image) {
        return with(Slot.BASE_COLOUR, image);
    }

    /** Returns the model with other tangent-space normals, as {@code layNormals} gives them. */
    public ModelFiles normal(ImageSource image) {
        return with(Slot.NORMAL, image);
    }

    /** Returns the model with another occlusion; its first channel counts, 1 is open. */
    public ModelFiles occlusion(ImageSource image) {
        return with(Slot.OCCLUSION, image);
    }

    /** Returns the model with an image's first channel as roughness. */
    public ModelFiles roughness(ImageSource image) {
        return with(Slot.ROUGHNESS, image);
    }

    /** Returns the model with an image's first channel as metal. */
    public ModelFiles metal(ImageSource image) {
        return with(Slot.METAL, image);
    }

    /** Returns the model in a finished material; its height has no place in glTF. */
    public ModelFiles finish(Finish finish) {
        return baseColour(finish.baseColour()).normal(finish.normal()).occlusion(finish.occlusion()).roughness(finish.roughness())
                .metal(finish.metal());
    }

    private ModelFiles with(Slot slot, ImageSource source) {
        if (result.job().isUdim()) {
            throw new IllegalArgumentException(
                    "image for " + slot.map + ": a job on UDIM tiles has an image a tile; bake it as a map of one's own");
        }
        FloatImage image = source.build();
        Encoding.Kind wanted = slot == Slot.NORMAL
                ? Encoding.Kind.NORMAL
                : slot == Slot.BASE_COLOUR ? Encoding.Kind.COLOUR : Encoding.Kind.DATA;
        if (image.encoding().kind() != wanted || (wanted != Encoding.Kind.DATA && image.channels() < 3)) {
            throw new IllegalArgumentException("image for " + slot.map + " is " + image.encoding().kind() + " of " + image.channels()
                    + " channels, it must be " + wanted + (wanted == Encoding.Kind.DATA ? "" : " of at least 3"));
        }
        Map<Slot, FloatImage> more = new EnumMap<>(given);
        more.put(slot, image);
        return new ModelFiles(result, low, coarser, more, name, bits, beside, cutOut);
    }

    /** Returns the model whose material and textures are called so; the low poly's name otherwise. */
    public ModelFiles named(String value) {
        return new ModelFiles(result, low, coarser, given, Objects.requireNonNull(value, "value"), bits, beside, cutOut);
    }

    /**
     * Returns the model with textures of another depth; 8 otherwise. Viewers may use 8 of 16 bits.
     *
     * @throws IllegalArgumentException if it is neither 8 nor 16
     */
    public ModelFiles bits(int depth) {
        SampleFormat.unsigned(depth);
        return new ModelFiles(result, low, coarser, given, name, depth, beside, cutOut);
    }

    /** Returns the model with its textures in files beside it. */
    public ModelFiles texturesBeside() {
        return new ModelFiles(result, low, coarser, given, name, bits, true, cutOut);
    }

    /** Returns the model cut out where its opacity is below one half. */
    public ModelFiles cutOut() {
        return new ModelFiles(result, low, coarser, given, name, bits, beside, true);
    }

    /**
     * Writes the model: {@code .glb} with all in it, {@code .gltf} with its parts beside it.
     *
     * @return what of the mesh glTF can't carry, or not in that form
     * @throws IllegalArgumentException                   if the ending is neither
     * @throws IOException                                if writing fails
     * @throws java.util.concurrent.CancellationException if the task was cancelled
     */
    public Findings write(Path file, Task task) throws IOException {
        String ending = String.valueOf(file.getFileName()).toLowerCase(java.util.Locale.ROOT);
        if (!ending.endsWith(".glb") && !ending.endsWith(".gltf")) {
            throw new IllegalArgumentException("file = " + file + " must end with .glb or .gltf, which hold a mesh with its maps");
        }
        GltfModel model = GltfModel.of(result.job().isUdim() ? byTile(low) : low,
                coarser.stream().map(level -> result.job().isUdim() ? byTile(level) : level).toArray(MeshSource[]::new));
        if (result.job().isUdim()) {
            for (BakedTile tile : result.tiles()) {
                String tileName = tileName(tile.number());
                model = model.material(tileName, material(tile, tileName, task));
            }
        } else {
            model = model.material(material(result.tiles().get(0), name, task));
        }
        return (beside ? model.texturesBeside() : model).write(file, task);
    }

    private String tileName(int number) {
        return name + "." + number;
    }

    /** Returns a mesh whose materials are the tiles that its triangles lie on. */
    private Mesh byTile(Mesh mesh) {
        List<Material> materials = new ArrayList<>();
        List<Integer> numbers = new ArrayList<>();
        for (BakedTile tile : result.tiles()) {
            materials.add(Material.named(tileName(tile.number())));
            numbers.add(tile.number());
        }
        int[] uvIndices = mesh.uvSets().get(0).indices();
        float[] uv = mesh.uvSets().get(0).values();
        int[] ofTriangle = new int[mesh.triangleCount()];
        for (int t = 0; t < ofTriangle.length; t++) {
            double u = 0, v = 0;
            for (int c = 0; c < 3; c++) {
                u += uv[2 * uvIndices[3 * t + c]] / 3.0;
                v += uv[2 * uvIndices[3 * t + c] + 1] / 3.0;
            }
            int column = (int) Math.floor(u), row = (int) Math.floor(v);
            boolean onTile = column >= 0 && column < UvTile.COLUMNS && row >= 0 && row < UvTile.ROWS;
            ofTriangle[t] = onTile ? numbers.indexOf(new UvTile(column, row).number()) : -1;
        }
        return mesh.toBuilder().materials(materials, ofTriangle).build();
    }

    private GltfMaterial material(BakedTile tile, String of, Task task) throws IOException {
        GltfMaterial material = GltfMaterial.named(of);
        Optional<FloatImage> normal = image(tile, Slot.NORMAL);
        if (normal.isPresent()) {
            FloatImage up = normal.get().withEncoding(Encoding.normal());
            material = material.texture(GltfTextureUse.NORMAL, texture(up, of + "-normal", task));
        }
        FloatImage occlusion = image(tile, Slot.OCCLUSION).orElse(null);
        FloatImage roughness = image(tile, Slot.ROUGHNESS).orElse(null);
        FloatImage metal = image(tile, Slot.METAL).orElse(null);
        if (roughness != null || metal != null) {
            GltfTexture packed = texture(packed(occlusion, roughness, metal, task),
                    of + (occlusion == null ? "" : "-occlusion") + "-roughness-metal", task);
            material = occlusion == null
                    ? material.texture(GltfTextureUse.ROUGHNESS_METAL, packed)
                    : material.occlusionRoughnessMetal(packed);
        } else if (occlusion != null) {
            material = material.texture(GltfTextureUse.OCCLUSION, texture(occlusion, of + "-occlusion", task));
        }
        Optional<FloatImage> colour = image(tile, Slot.BASE_COLOUR);
        if (colour.isPresent()) {
            Optional<FloatImage> opacity = cutOut ? image(tile, Slot.OPACITY) : Optional.empty();
            FloatImage base = opacity.isPresent()
                    ? ChannelPack.colourAndOpacity(colour.get(), opacity.get()).task(task).build()
                    : colour.get();
            material = material.texture(GltfTextureUse.BASE_COLOUR, texture(base, of + "-base-colour", task));
        }
        return cutOut ? material.cutOut(0.5) : material;
    }

    /** Returns occlusion, roughness and metal in one image; what is missing is 1 (open; rough), metal is 0. */
    private static FloatImage packed(@Nullable FloatImage occlusion, @Nullable FloatImage roughness, @Nullable FloatImage metal,
            Task task) {
        FloatImage[] images = {occlusion, roughness, metal};
        double[] otherwise = {1, 1, 0};
        ChannelPack pack = ChannelPack.create();
        for (int c = 0; c < images.length; c++) {
            FloatImage image = images[c];
            pack = image == null ? pack.add(PACKED[c], otherwise[c]) : pack.add(PACKED[c], image, 0);
        }
        return pack.task(task).build();
    }

    private Optional<FloatImage> image(BakedTile tile, Slot slot) {
        FloatImage image = given.get(slot);
        return image != null
                ? Optional.of(image)
                : tile.maps().stream().filter(map -> map.name().equals(slot.map)).map(BakedMap::image).findFirst();
    }

    private GltfTexture texture(FloatImage image, String textureName, Task task) throws IOException {
        ByteArrayOutputStream out = new ByteArrayOutputStream();
        new PngFormat().write(image, SampleFormat.unsigned(bits), Map.of(), out, task);
        return GltfTexture.png(textureName, out.toByteArray());
    }
}
