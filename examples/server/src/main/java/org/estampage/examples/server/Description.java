package org.estampage.examples.server;

import com.fasterxml.jackson.core.JsonProcessingException;
import com.fasterxml.jackson.core.StreamReadFeature;
import com.fasterxml.jackson.core.json.JsonReadFeature;
import com.fasterxml.jackson.databind.DeserializationFeature;
import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectReader;
import com.fasterxml.jackson.databind.json.JsonMapper;
import java.io.IOException;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.OptionalDouble;
import java.util.Set;
import org.estampage.bake.BakeJob;
import org.estampage.bake.SurfaceMap;
import org.estampage.image.Padding;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Mesh;

/**
 * What a client wants baked, without the meshes.
 *
 * @param name    what people call it; it is shown, and names nothing
 * @param width   the maps' width in texels
 * @param height  the maps' height in texels
 * @param samples n for n × n samples a texel
 * @param padding how far values go on beyond charts, in texels, or {@link Padding#EVERYWHERE}
 * @param offset  the cage's distance in mesh units; empty for a cage that is sent, or fitted
 * @param maps    the maps
 * @threads immutable
 */
record Description(String name, int width, int height, int samples, int padding, OptionalDouble offset, List<SurfaceMap> maps) {
    private static final int LONGEST_NAME = 100;
    private static final Set<String> FIELDS = Set.of("name", "size", "width", "height", "samples", "padding", "offset", "maps");
    private static final ObjectReader JSON = JsonMapper.builder().enable(StreamReadFeature.STRICT_DUPLICATE_DETECTION)
            .disable(StreamReadFeature.INCLUDE_SOURCE_IN_LOCATION).disable(JsonReadFeature.ALLOW_NON_NUMERIC_NUMBERS)
            .enable(DeserializationFeature.FAIL_ON_TRAILING_TOKENS).build().reader();

    Description {
        maps = List.copyOf(maps);
    }

    /**
     * Reads a description.
     *
     * @throws ProblemException if it is not one, with every field that is wrong; or if the engine would not take it
     */
    static Description read(byte[] body) throws ProblemException {
        JsonNode root;
        try {
            root = JSON.readTree(body);
        } catch (JsonProcessingException e) {
            String where = e.getLocation() == null
                    ? "/"
                    : "line " + e.getLocation().getLineNr() + ", column " + e.getLocation().getColumnNr();
            throw new ProblemException(Problem.notUsable(where, e.getOriginalMessage(), "send JSON as RFC 8259 has it"), e);
        } catch (IOException e) {
            throw new ProblemException(Problem.notUsable("/", "not text in UTF-8: " + e.getMessage(), "send JSON in UTF-8"), e);
        }
        return new Reader().read(root);
    }

    /**
     * Returns the engine's job of these meshes, ready for a cage and to be built.
     *
     * @throws IllegalArgumentException if the engine does not take an option
     */
    BakeJob.Builder job(Mesh low, List<Mesh> highs) {
        return BakeJob.of(low, highs.toArray(Mesh[]::new)).size(width, height).samples(samples).padding(padding)
                .maps(maps.toArray(SurfaceMap[]::new));
    }

    /** Returns how many texels all maps have together. */
    long texels() {
        return (long) width * height * maps.size();
    }

    /** Returns a triangle that covers next to no texels, for meshes that are not here yet. */
    static Mesh probe() {
        return Mesh.builder(new float[] {0, 0, 0, 1, 0, 0, 0, 1, 0}, new int[] {0, 1, 2})
                .uvSet(new Attribute("uv", 2, new float[] {0, 0, 0x1p-10f, 0, 0, 0x1p-10f}, new int[] {0, 1, 2})).build();
    }

    /** Collects what is wrong, field by field. */
    private static final class Reader {
        private final List<Problem.Point> points = new ArrayList<>();

        Description read(JsonNode root) throws ProblemException {
            if (!root.isObject()) {
                throw new ProblemException(
                        Problem.notUsable("/", "a job must be a JSON object", "send at least {\"maps\": [\"normal\"]}"));
            }
            root.fieldNames().forEachRemaining(field -> {
                if (!FIELDS.contains(field)) {
                    points.add(new Problem.Point("/" + field.replace("~", "~0").replace("/", "~1"), "there is no such field",
                            "the fields are " + String.join(", ", FIELDS.stream().sorted().toList())));
                }
            });
            String name = text(root.path("name"), "/name");
            if (root.has("size") && (root.has("width") || root.has("height"))) {
                points.add(new Problem.Point("/size", "size stands beside width or height", "give size alone, or width and height"));
            }
            int size = integer(root.path("size"), "/size", 1, BakeJob.MAX_SIZE, 1024);
            int width = integer(root.path("width"), "/width", 1, BakeJob.MAX_SIZE, size);
            int height = integer(root.path("height"), "/height", 1, BakeJob.MAX_SIZE, size);
            int samples = integer(root.path("samples"), "/samples", 1, 16, 2);
            int padding = integer(root.path("padding"), "/padding", 0, BakeJob.MAX_SIZE, Padding.EVERYWHERE);
            OptionalDouble offset = length(root.path("offset"), "/offset");
            List<SurfaceMap> maps = maps(root.path("maps"));
            fail();
            Description description = new Description(name, width, height, samples, padding, offset, maps);
            try {
                // The engine's own checks of how options go together, before a mesh is sent: on a single triangle.
                Mesh probe = probe();
                description.job(probe, List.of(probe)).build();
            } catch (IllegalArgumentException e) {
                throw new ProblemException(Problem.notUsable("/", String.valueOf(e.getMessage()), "change the option that is named"), e);
            }
            return description;
        }

        private void fail() throws ProblemException {
            if (!points.isEmpty()) {
                String all = String.join("; ", points.stream().map(point -> point.where() + ": " + point.what()).toList());
                throw new ProblemException(new Problem(ProblemKind.NOT_USABLE, all, points, Optional.empty()));
            }
        }

        private String text(JsonNode node, String where) {
            if (node.isMissingNode()) {
                return "";
            }
            if (!node.isTextual() || node.textValue().length() > LONGEST_NAME
                    || node.textValue().codePoints().anyMatch(Character::isISOControl)) {
                points.add(
                        new Problem.Point(where, "it must be a text of one line and up to " + LONGEST_NAME + " characters", "shorten it"));
                return "";
            }
            return node.textValue();
        }

        private int integer(JsonNode node, String where, int least, int most, int otherwise) {
            if (node.isMissingNode()) {
                return otherwise;
            }
            if (!node.isIntegralNumber() || !node.canConvertToInt() || node.intValue() < least || node.intValue() > most) {
                points.add(new Problem.Point(where, shown(node) + " is no whole number from " + least + " to " + most,
                        "send a number in that range, without quotation marks"));
                return otherwise;
            }
            return node.intValue();
        }

        private OptionalDouble length(JsonNode node, String where) {
            if (node.isMissingNode()) {
                return OptionalDouble.empty();
            }
            if (!node.isNumber() || !(node.doubleValue() >= 0) || !Float.isFinite((float) node.doubleValue())) {
                points.add(new Problem.Point(where, shown(node) + " is no length in mesh units", "send a number of 0 or more"));
                return OptionalDouble.empty();
            }
            return OptionalDouble.of(node.doubleValue());
        }

        private List<SurfaceMap> maps(JsonNode node) {
            List<SurfaceMap> maps = new ArrayList<>();
            if (!node.isArray() || node.isEmpty()) {
                points.add(new Problem.Point("/maps", "no maps are named", "send a list of names such as " + MapChoice.names()));
                return maps;
            }
            for (int i = 0; i < node.size(); i++) {
                try {
                    maps.add(MapChoice.read(node.get(i), "/maps/" + i));
                } catch (ProblemException e) {
                    points.addAll(e.problem().points());
                }
            }
            return maps;
        }
    }

    /** Returns a value as a message may show it. */
    static String shown(JsonNode node) {
        String text = node.toString();
        return text.length() > LONGEST_NAME ? text.substring(0, LONGEST_NAME) + "…" : text;
    }
}
