package org.estampage.handover;

import com.fasterxml.jackson.databind.JsonNode;
import java.util.Arrays;
import java.util.Map;
import java.util.regex.Pattern;
import org.estampage.bake.FrameRule;
import org.estampage.bake.HitRule;
import org.estampage.bake.TexelFilter;
import org.estampage.finding.Severity;
import org.estampage.io.format.FormatException;

/** What a manifest must hold to be understood; looked at once, when it is read, so that nothing else need doubt it. */
final class ManifestShape {
    private static final String ARGUMENT = "(-?[0-9.]+(E-?[0-9]+)?|\"[^\"\\\\\\p{Cntrl}]*\"|[XYZ]|…)";
    private static final String ARGUMENTS = "\\((" + ARGUMENT + "(, " + ARGUMENT + ")*)?\\)";
    private static final String MAP = "(normal|objectNormal|height|occlusion|bentNormal|curvature|thickness|position|ids|colour|opacity|coverage|custom)"
            + ARGUMENTS + "(\\.[a-z][A-Za-z]*" + ARGUMENTS + ")*";

    /** The calls that maps print, and nothing else: they become a script's code, and a manifest may come from anywhere. */
    private static final Pattern CALL = Pattern.compile("(raysOf|errorOf)\\(" + MAP + "\\)|" + MAP);

    private final String file;

    ManifestShape(String file) {
        this.file = file;
    }

    /** Returns whether a text is a map's call and nothing else. */
    static boolean isCall(String text) {
        return CALL.matcher(text).matches();
    }

    void check(JsonNode root) throws FormatException {
        object(root, "low");
        object(root, "cage");
        object(root, "job");
        for (String list : new String[] {"highs", "maps", "findings"}) {
            demand(root.path(list).isArray(), list, "a list");
            for (JsonNode entry : root.path(list)) {
                demand(entry.isObject(), list, "a list of objects");
            }
        }
        demand(!root.has("inputs") || root.path("inputs").isArray(), "inputs", "a list");
        JsonNode job = root.path("job");
        demand(job.path("width").canConvertToInt() && job.path("height").canConvertToInt(), "job", "an object with width and height");
        demand(job.path("maps").isArray(), "job.maps", "a list");
        for (JsonNode call : job.path("maps")) {
            demand(isCall(call.asText()), "job.maps", "a list of calls such as occlusion(64).reach(0.5)");
        }
        for (Map.Entry<String, JsonNode> given : job.path("ranges").properties()) {
            ranges(given.getValue(), "job.ranges");
        }
        constant(job, "filter", TexelFilter.values());
        constant(job, "frame", FrameRule.values());
        constant(job, "hits", HitRule.values());
        for (JsonNode map : root.path("maps")) {
            ranges(map.path("ranges"), "maps.ranges");
        }
        for (JsonNode finding : root.path("findings")) {
            String severity = finding.path("severity").asText();
            demand(Arrays.stream(Severity.values()).anyMatch(s -> s.name().equalsIgnoreCase(severity)), "findings",
                    "a list of objects with a severity");
        }
    }

    private void ranges(JsonNode list, String name) throws FormatException {
        demand(list.isArray(), name, "a list");
        for (JsonNode range : list) {
            demand(isRange(range), name, "a list of pairs of numbers");
        }
    }

    private static boolean isRange(JsonNode pair) {
        if (!pair.isArray() || pair.size() != 2 || !pair.path(0).isNumber() || !pair.path(1).isNumber()) {
            return false;
        }
        return Float.isFinite(pair.path(0).floatValue()) && Float.isFinite(pair.path(1).floatValue());
    }

    private void constant(JsonNode job, String name, Enum<?>[] values) throws FormatException {
        String text = job.path(name).asText();
        demand(Arrays.stream(values).anyMatch(v -> v.name().equals(text)), "job." + name, "one of " + Arrays.toString(values));
    }

    private void object(JsonNode root, String name) throws FormatException {
        demand(root.path(name).isObject(), name, "an object");
    }

    private void demand(boolean holds, String name, String expected) throws FormatException {
        if (!holds) {
            throw FormatException.ofFile(file, "is a damaged manifest: \"" + name + "\" must be " + expected);
        }
    }
}
