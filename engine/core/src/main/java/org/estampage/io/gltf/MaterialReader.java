package org.estampage.io.gltf;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import org.estampage.io.format.FormatException;
import org.estampage.io.shared.NearbyFile;
import org.estampage.io.shared.Notices;
import org.estampage.mesh.Material;
import org.jspecify.annotations.Nullable;

/**
 * Reads the materials of a file. Whatever is wrong with them is a finding, since the shape does not depend on it.
 *
 * @threads confined to one thread at a time
 */
final class MaterialReader {
    /** The statement of a mesh's material under which {@link MaterialProperties} are kept. */
    private static final String STATEMENT = "gltf";

    private final GltfFile file;
    private final Notices notices;

    MaterialReader(GltfFile file, Notices notices) {
        this.file = file;
        this.notices = notices;
    }

    /** Returns the key of a texture in a material, or in its {@code pbrMetallicRoughness}. */
    static String key(GltfTextureUse use) {
        return switch (use) {
            case BASE_COLOUR -> "baseColorTexture";
            case NORMAL -> "normalTexture";
            case OCCLUSION -> "occlusionTexture";
            case ROUGHNESS_METAL -> "metallicRoughnessTexture";
            case EMISSION -> "emissiveTexture";
        };
    }

    /** Returns what a material carries along for glTF. */
    static Map<String, String> properties(Material material) {
        return MaterialProperties.parsed(material.statements().get(STATEMENT));
    }

    List<Material> read() throws IOException {
        JsonValue list = file.root().get("materials");
        List<Material> materials = new ArrayList<>();
        for (int i = 0; i < list.size(); i++) {
            try {
                materials.add(material(list.get(i), "material-" + i));
            } catch (FormatException e) {
                notices.warn("material", "{count} materials could not be understood and have only a name",
                        "export the model again; the first: " + e.getMessage());
                materials.add(Material.named("material-" + i));
            }
        }
        return materials;
    }

    private Material material(JsonValue json, String otherwise) throws FormatException {
        if (!json.node().isObject()) {
            throw json.wrong("an object");
        }
        JsonValue pbr = json.get("pbrMetallicRoughness");
        JsonValue factor = pbr.get("baseColorFactor");
        double[] colour = factor.isThere() ? factor.numbers(4) : new double[] {1, 1, 1, 1};
        boolean opaque = json.get("alphaMode").text("OPAQUE").equals("OPAQUE");
        float opacity = opaque ? 1 : (float) colour[3];
        Map<String, String> textures = new LinkedHashMap<>();
        for (GltfTextureUse use : GltfTextureUse.values()) {
            JsonValue info = json.get(key(use)).isThere() ? json.get(key(use)) : pbr.get(key(use));
            String address = info.isThere() ? address(info) : null;
            if (address != null) {
                textures.put(use.key(), address);
            }
        }
        String properties = MaterialProperties.read(json.node(), opacity == 1);
        return new Material(json.get("name").text(otherwise), (float) colour[0], (float) colour[1], (float) colour[2], opacity, textures,
                properties.isEmpty() ? Map.of() : Map.of(STATEMENT, properties));
    }

    /** Returns a texture's file, or where in the model it is; null if there is none that may be read. */
    private @Nullable String address(JsonValue info) throws FormatException {
        JsonValue textures = file.root().get("textures");
        JsonValue texture = textures.get(info.get("index").index(textures.size()));
        JsonValue images = file.root().get("images");
        if (!texture.get("source").isThere()) {
            notices.warn("missing-texture", "{count} textures of materials are missing", "the first has no picture: " + texture.where());
            return null;
        }
        int number = texture.get("source").index(images.size());
        JsonValue uri = images.get(number).get("uri");
        if (!uri.isThere() || Uris.isData(uri.text())) {
            return path().getFileName() + "#images/" + number;
        }
        String name = Uris.decoded(uri.text());
        Path path = name == null ? null : NearbyFile.of(path(), name);
        if (name == null || path == null) {
            notices.warn("refused-texture", "{count} textures of materials are outside the folder of the model and were left out",
                    "put them beside it; the first is " + FormatException.quote(uri.text()));
            return null;
        }
        if (!Files.isRegularFile(path)) {
            notices.warn("missing-texture", "{count} textures of materials are missing",
                    "put them beside the model; the first is " + FormatException.quote(name));
        }
        return name;
    }

    private Path path() {
        return file.path();
    }
}
