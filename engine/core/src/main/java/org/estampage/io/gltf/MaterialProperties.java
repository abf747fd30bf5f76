package org.estampage.io.gltf;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.node.ArrayNode;
import com.fasterxml.jackson.databind.node.ObjectNode;
import java.util.LinkedHashMap;
import java.util.Map;
import java.util.StringJoiner;
import org.jspecify.annotations.Nullable;

/**
 * What of a glTF material a mesh's material only carries along: lines of a name and values, of which those are left out that hold anyway. A material
 * that says nothing is no metal, fully rough, and blended if it is not opaque.
 */
final class MaterialProperties {
    private static final String METAL = "metallicFactor";
    private static final String ROUGHNESS = "roughnessFactor";
    private static final String EMISSION = "emissiveFactor";
    private static final String ALPHA_MODE = "alphaMode";
    private static final String ALPHA_CUTOFF = "alphaCutoff";
    private static final String DOUBLE_SIDED = "doubleSided";

    private MaterialProperties() {
    }

    /** Returns lines for a material of a file; empty when all is as usual here. */
    static String read(JsonNode material, boolean opaque) {
        StringJoiner lines = new StringJoiner("\n");
        JsonNode pbr = material.path("pbrMetallicRoughness");
        number(lines, METAL, pbr.path(METAL).asDouble(1), 0);
        number(lines, ROUGHNESS, pbr.path(ROUGHNESS).asDouble(1), 1);
        JsonNode emission = material.path(EMISSION);
        if (emission.size() == 3) {
            lines.add(EMISSION + " " + emission.get(0).asDouble() + " " + emission.get(1).asDouble() + " " + emission.get(2).asDouble());
        }
        String mode = material.path(ALPHA_MODE).asText("OPAQUE");
        if (!mode.equals(opaque ? "OPAQUE" : "BLEND") && (mode.equals("MASK") || mode.equals("BLEND"))) {
            lines.add(ALPHA_MODE + " " + mode);
        }
        if (mode.equals("MASK")) {
            number(lines, ALPHA_CUTOFF, material.path(ALPHA_CUTOFF).asDouble(0.5), 0.5);
        }
        if (material.path(DOUBLE_SIDED).asBoolean()) {
            lines.add(DOUBLE_SIDED + " true");
        }
        return lines.toString();
    }

    private static void number(StringJoiner lines, String name, double value, double usual) {
        if (value != usual) {
            lines.add(name + " " + value);
        }
    }

    /** Returns lines as a map; what is no line of ours is passed over. */
    static Map<String, String> parsed(@Nullable String lines) {
        Map<String, String> properties = new LinkedHashMap<>();
        if (lines != null) {
            for (String line : lines.split("\n", -1)) {
                String[] words = line.strip().split("\\s+", 2);
                if (words.length == 2) {
                    properties.put(words[0], words[1]);
                }
            }
        }
        return properties;
    }

    /** Puts properties into a material, and what holds where they say nothing. */
    static void write(Map<String, String> properties, boolean transparent, ObjectNode material, ObjectNode pbr) {
        pbr.put(METAL, unit(properties.get(METAL), 0));
        pbr.put(ROUGHNESS, unit(properties.get(ROUGHNESS), 1));
        String[] emission = properties.getOrDefault(EMISSION, "").split("\\s+");
        if (emission.length == 3) {
            ArrayNode factor = material.putArray(EMISSION);
            for (String part : emission) {
                factor.add(unit(part, 0));
            }
        }
        String mode = properties.getOrDefault(ALPHA_MODE, transparent ? "BLEND" : "OPAQUE");
        if (mode.equals("BLEND") || mode.equals("MASK")) {
            material.put(ALPHA_MODE, mode);
        }
        if (mode.equals("MASK")) {
            material.put(ALPHA_CUTOFF, unit(properties.get(ALPHA_CUTOFF), 0.5));
        }
        if ("true".equals(properties.get(DOUBLE_SIDED))) {
            material.put(DOUBLE_SIDED, true);
        }
    }

    private static double unit(@Nullable String text, double usual) {
        if (text != null) {
            try {
                double value = Double.parseDouble(text);
                return value >= 0 ? Math.min(value, 1) : usual;
            } catch (NumberFormatException e) { // not written by us
                return usual;
            }
        }
        return usual;
    }
}
