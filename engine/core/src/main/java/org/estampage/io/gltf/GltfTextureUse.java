package org.estampage.io.gltf;

/** What a texture of a material is for. */
public enum GltfTextureUse {
    /** Base colour, sRGB; a fourth channel is opacity. */
    BASE_COLOUR("base-colour"),
    /** Tangent-space normals, +Y up. */
    NORMAL("normal"),
    /** Occlusion in red, 1 is open. */
    OCCLUSION("occlusion"),
    /** Roughness in green, metal in blue. */
    ROUGHNESS_METAL("roughness-metal"),
    /** Light that the surface sends out, sRGB. */
    EMISSION("emission");

    private final String key;

    GltfTextureUse(String key) {
        this.key = key;
    }

    /** Returns the name under which {@link org.estampage.mesh.Material#textures} holds it. */
    public String key() {
        return key;
    }
}
