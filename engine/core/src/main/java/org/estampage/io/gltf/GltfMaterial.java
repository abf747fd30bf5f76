package org.estampage.io.gltf;

import java.util.Collections;
import java.util.EnumMap;
import java.util.Map;
import java.util.Objects;
import java.util.Optional;

/**
 * A material with its textures, for a delivery. Every option returns a new material.
 *
 * <p>A texture is multiplied by the factors beside it, which are 1 until they are set; metal is 0 where nothing says it.
 *
 * @threads immutable
 */
public final class GltfMaterial {
    /** What becomes of opacity. */
    enum Alpha {
        OPAQUE, MASK, BLEND
    }

    private final String name;
    private final double[] baseColour;
    private final double metal;
    private final double roughness;
    private final Alpha alpha;
    private final double cutOff;
    private final boolean doubleSided;
    private final Map<GltfTextureUse, GltfTexture> textures;

    private GltfMaterial(String name, double[] baseColour, double metal, double roughness, Alpha alpha, double cutOff, boolean doubleSided,
            Map<GltfTextureUse, GltfTexture> textures) {
        this.name = name;
        this.baseColour = baseColour;
        this.metal = metal;
        this.roughness = roughness;
        this.alpha = alpha;
        this.cutOff = cutOff;
        this.doubleSided = doubleSided;
        this.textures = textures;
    }

    /** Returns a white, opaque material without textures. */
    public static GltfMaterial named(String name) {
        return new GltfMaterial(Objects.requireNonNull(name, "name"), new double[] {1, 1, 1, 1}, Double.NaN, 1, Alpha.OPAQUE, 0.5, false,
                Collections.unmodifiableMap(new EnumMap<>(GltfTextureUse.class)));
    }

    /**
     * Returns this material with a base colour.
     *
     * @param red     linear, 0…1
     * @param green   linear, 0…1
     * @param blue    linear, 0…1
     * @param opacity 0…1; it counts in a {@link #cutOut} or {@link #blended} material only
     */
    public GltfMaterial baseColour(double red, double green, double blue, double opacity) {
        double[] rgba = {unit("red", red), unit("green", green), unit("blue", blue), unit("opacity", opacity)};
        return new GltfMaterial(name, rgba, metal, roughness, alpha, cutOff, doubleSided, textures);
    }

    /** Returns this material with a factor for metal, 0…1. */
    public GltfMaterial metal(double value) {
        return new GltfMaterial(name, baseColour, unit("metal", value), roughness, alpha, cutOff, doubleSided, textures);
    }

    /** Returns this material with a factor for roughness, 0…1. */
    public GltfMaterial roughness(double value) {
        return new GltfMaterial(name, baseColour, metal, unit("roughness", value), alpha, cutOff, doubleSided, textures);
    }

    /** Returns this material cut out where its opacity is below a limit, 0…1. */
    public GltfMaterial cutOut(double limit) {
        return new GltfMaterial(name, baseColour, metal, roughness, Alpha.MASK, unit("limit", limit), doubleSided, textures);
    }

    /** Returns this material blended with what lies behind it, by its opacity. */
    public GltfMaterial blended() {
        return new GltfMaterial(name, baseColour, metal, roughness, Alpha.BLEND, cutOff, doubleSided, textures);
    }

    /** Returns this material seen from both sides. */
    public GltfMaterial doubleSided() {
        return new GltfMaterial(name, baseColour, metal, roughness, alpha, cutOff, true, textures);
    }

    /** Returns this material with a texture; one object may serve several uses and is stored once. */
    public GltfMaterial texture(GltfTextureUse use, GltfTexture texture) {
        EnumMap<GltfTextureUse, GltfTexture> more = new EnumMap<>(GltfTextureUse.class);
        more.putAll(textures);
        more.put(Objects.requireNonNull(use, "use"), Objects.requireNonNull(texture, "texture"));
        return new GltfMaterial(name, baseColour, metal, roughness, alpha, cutOff, doubleSided, Collections.unmodifiableMap(more));
    }

    /** Returns this material with occlusion in red, roughness in green and metal in blue of one texture. */
    public GltfMaterial occlusionRoughnessMetal(GltfTexture packed) {
        return texture(GltfTextureUse.OCCLUSION, packed).texture(GltfTextureUse.ROUGHNESS_METAL, packed);
    }

    private static double unit(String what, double value) {
        if (!(value >= 0 && value <= 1)) {
            throw new IllegalArgumentException(what + " = " + value + " must be 0 … 1");
        }
        return value;
    }

    /** Returns the name. */
    public String name() {
        return name;
    }

    /** Returns the texture for a use, if there is one. */
    public Optional<GltfTexture> texture(GltfTextureUse use) {
        return Optional.ofNullable(textures.get(use));
    }

    Map<GltfTextureUse, GltfTexture> textures() {
        return textures;
    }

    /** Returns red, green, blue, opacity; not to be changed. */
    double[] baseColour() {
        return baseColour;
    }

    double metal() {
        return !Double.isNaN(metal) ? metal : textures.containsKey(GltfTextureUse.ROUGHNESS_METAL) ? 1 : 0;
    }

    double roughness() {
        return roughness;
    }

    Alpha alpha() {
        return alpha;
    }

    double cutOff() {
        return cutOff;
    }

    boolean isDoubleSided() {
        return doubleSided;
    }

    @Override
    public String toString() {
        return name + ": " + textures.size() + (textures.size() == 1 ? " texture" : " textures");
    }
}
