package org.estampage.io.gltf;

import com.fasterxml.jackson.databind.node.ArrayNode;
import com.fasterxml.jackson.databind.node.ObjectNode;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.HashMap;
import java.util.LinkedHashMap;
import java.util.Locale;
import java.util.Map;
import org.estampage.io.format.FormatException;
import org.estampage.io.shared.NearbyFile;
import org.estampage.io.shared.Notices;
import org.estampage.io.shared.NotCarried;
import org.estampage.mesh.Material;

/**
 * Puts materials, textures and images into a document, each once.
 *
 * @threads confined to one thread at a time
 */
final class MaterialWriter {
    private final GltfDocument document;
    private final Path target;
    private final boolean beside;
    private final Notices notices;
    private final NotCarried lost;
    /** By identity, as of textures: neither has another equality. */
    private final Map<GltfMaterial, Integer> given = new HashMap<>();
    private final Map<Own, Integer> own = new HashMap<>();
    private final Map<GltfTexture, Integer> textures = new HashMap<>();
    private final Map<String, Integer> named = new HashMap<>();
    private final Map<String, GltfTexture> files = new LinkedHashMap<>();

    private record Own(Material material, boolean textured) {
    }

    MaterialWriter(GltfDocument document, Path target, boolean beside, Notices notices, NotCarried lost) {
        this.document = document;
        this.target = target;
        this.beside = beside;
        this.notices = notices;
        this.lost = lost;
    }

    /** Returns the textures that are to be written beside the model, by their files' names. */
    Map<String, GltfTexture> files() {
        return files;
    }

    /** Returns the number of a material of the delivery. */
    int number(GltfMaterial material) {
        Integer known = given.get(material);
        if (known != null) {
            return known;
        }
        ObjectNode node = GltfDocument.object().put("name", GltfWriter.text(material.name()));
        ObjectNode pbr = node.putObject("pbrMetallicRoughness");
        ArrayNode colour = pbr.putArray("baseColorFactor");
        for (double c : material.baseColour()) {
            colour.add(c);
        }
        pbr.put("metallicFactor", material.metal()).put("roughnessFactor", material.roughness());
        material.textures().forEach((use, texture) -> reference(node, pbr, use, number(texture)));
        if (material.texture(GltfTextureUse.EMISSION).isPresent()) {
            node.putArray("emissiveFactor").add(1.0).add(1.0).add(1.0);
        }
        if (material.alpha() != GltfMaterial.Alpha.OPAQUE) {
            node.put("alphaMode", material.alpha().name());
        }
        if (material.alpha() == GltfMaterial.Alpha.MASK) {
            node.put("alphaCutoff", material.cutOff());
        }
        if (material.isDoubleSided()) {
            node.put("doubleSided", true);
        }
        int number = document.add("materials", node);
        given.put(material, number);
        return number;
    }

    private static void reference(ObjectNode material, ObjectNode pbr, GltfTextureUse use, int texture) {
        ObjectNode holder = use == GltfTextureUse.BASE_COLOUR || use == GltfTextureUse.ROUGHNESS_METAL ? pbr : material;
        holder.putObject(MaterialReader.key(use)).put("index", texture);
    }

    private int number(GltfTexture texture) {
        Integer known = textures.get(texture);
        if (known != null) {
            return known;
        }
        ObjectNode image = GltfDocument.object().put("name", GltfWriter.text(texture.name()));
        if (beside) {
            GltfTexture other = files.putIfAbsent(texture.fileName().toLowerCase(Locale.ROOT), texture);
            if (other != null) {
                throw new IllegalArgumentException("two textures are called " + texture.fileName() + "; each needs a name of its own");
            }
            image.put("uri", Uris.encoded(texture.fileName()));
        } else {
            byte[] bytes = texture.bytes();
            image.put("mimeType", texture.mediaType());
            image.put("bufferView", document.addView(bytes.length, 0, GltfDocument.NO_TARGET, out -> out.write(bytes)));
        }
        int number = addTexture(image);
        textures.put(texture, number);
        return number;
    }

    private int addTexture(ObjectNode image) {
        return document.add("textures", GltfDocument.object().put("source", document.add("images", image)));
    }

    /** Returns the number of a mesh's own material; without UVs it can't have textures. */
    int number(Material material, boolean textured) {
        Integer known = own.get(new Own(material, textured));
        if (known != null) {
            return known;
        }
        ObjectNode node = GltfDocument.object().put("name", GltfWriter.text(material.name()));
        ObjectNode pbr = node.putObject("pbrMetallicRoughness");
        ArrayNode colour = pbr.putArray("baseColorFactor");
        colour.add(unit(material.red())).add(unit(material.green())).add(unit(material.blue())).add(unit(material.opacity()));
        Map<String, String> properties = MaterialReader.properties(material);
        MaterialProperties.write(properties, unit(material.opacity()) < 1, node, pbr);
        addOwnTextures(textured ? material.textures() : Map.of(), node, pbr);
        int number = document.add("materials", node);
        own.put(new Own(material, textured), number);
        return number;
    }

    private static double unit(float value) {
        return value > 0 ? Math.min(value, 1) : 0; // NaN too
    }

    private void addOwnTextures(Map<String, String> textureNames, ObjectNode node, ObjectNode pbr) {
        Map<String, String> rest = new LinkedHashMap<>(textureNames);
        for (GltfTextureUse use : GltfTextureUse.values()) {
            String name = rest.remove(use.key());
            if (name != null && isThere(name)) {
                reference(node, pbr, use, named.computeIfAbsent(name.replace('\\', '/'),
                        n -> addTexture(GltfDocument.object().put("uri", Uris.encoded(n)))));
            }
        }
        rest.forEach((use, name) -> lost.add("textures for " + use, name));
    }

    private boolean isThere(String name) {
        String lower = name.toLowerCase(Locale.ROOT);
        boolean picture = lower.endsWith(".png") || lower.endsWith(".jpg") || lower.endsWith(".jpeg");
        Path file = picture ? NearbyFile.of(target, name) : null;
        if (file != null && Files.isRegularFile(file)) {
            return true;
        }
        notices.warn("texture-left-out", "{count} textures of materials do not lie beside the target as PNG or JPEG and were left out",
                "copy them there before saving; the first is " + FormatException.quote(name));
        return false;
    }

    /** Returns whether a material of the delivery itself has this number, and not a mesh's own. */
    boolean isGiven(int material) {
        return given.containsValue(material);
    }

    boolean hasNormalTexture(int material) {
        return document.element("materials", material).has(MaterialReader.key(GltfTextureUse.NORMAL));
    }

    boolean hasTextures(int material) {
        ObjectNode node = document.element("materials", material);
        for (GltfTextureUse use : GltfTextureUse.values()) {
            if (node.has(MaterialReader.key(use)) || node.path("pbrMetallicRoughness").has(MaterialReader.key(use))) {
                return true;
            }
        }
        return false;
    }
}
