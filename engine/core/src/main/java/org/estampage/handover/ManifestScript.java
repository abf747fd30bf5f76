package org.estampage.handover;

import com.fasterxml.jackson.databind.JsonNode;
import java.util.Locale;
import java.util.Map;
import org.estampage.bake.FrameRule;
import org.estampage.bake.HitRule;
import org.estampage.bake.TexelFilter;

/** Writes the console script that bakes again what a manifest tells of. */
final class ManifestScript {
    private final JsonNode root;
    private final JsonNode job;
    private final StringBuilder out = new StringBuilder();

    ManifestScript(JsonNode root) {
        this.root = root;
        this.job = root.path("job");
    }

    String text() {
        out.append("// Bakes the same maps again. The meshes must be those that were baked, unless changed=true is given.\n");
        out.append("import org.estampage.handover.Manifest;\n\n");
        load("low", root.path("low"), "low");
        StringBuilder highs = new StringBuilder();
        for (int i = 0; i < root.path("highs").size(); i++) {
            String name = i == 0 ? "high" : "high" + (i + 1);
            load(name, root.path("highs").path(i), name);
            highs.append(", ").append(name);
        }
        out.append("\nvar again = bake(low").append(highs).append(')');
        options();
        if (root.path("cage").path("from").asText().equals("given")) {
            out.append(";\n// Rays began on a cage of its own; without it one is fitted.\n");
            out.append("if (!arg(\"cage\", \"\").isEmpty()) {\n    again.cage(importedCage(low, load(arg(\"cage\", \"\"))));\n}\n");
        } else {
            out.append(";\n");
        }
        out.append("again.maps(");
        for (int i = 0; i < job.path("maps").size(); i++) {
            out.append(i == 0 ? "\n        " : ",\n        ").append(job.path("maps").path(i).asText());
        }
        out.append(");\n\nvar result = again.run();\nsave(result, arg(\"out\", \"again/")
                .append(plain(root.path("low").path("name").asText()))
                .append("\"));\nIO.println(result.summary());\n");
        return out.toString();
    }

    private void load(String variable, JsonNode mesh, String argument) {
        out.append("var ").append(variable).append(" = load(arg(\"").append(argument).append("\", \"")
                .append(plain(mesh.path("name").asText()))
                .append(".obj\"));\n");
        out.append("if (!arg(\"changed\", false) && !digest(").append(variable).append(").equals(\"")
                .append(plain(mesh.path("sha256").asText()))
                .append("\")) {\n    throw new IllegalArgumentException(\"").append(argument)
                .append(" is not the mesh that was baked: give the right file, or changed=true\");\n}\n");
    }

    private void options() {
        option("size", job.path("width").asInt() + ", " + job.path("height").asInt());
        option("samples", job.path("samples").asText());
        number("edgeSamples");
        number("padding");
        number("depth");
        if (job.path("rayBlend").asDouble() > 0) {
            number("rayBlend");
        }
        constant("filter", TexelFilter.class, TexelFilter.BOX);
        constant("frame", FrameRule.class, FrameRule.AS_INTERPOLATED);
        constant("hits", HitRule.class, HitRule.FIRST_FRONT_FACE);
        JsonNode pairs = job.path("pairByName");
        if (pairs.isObject()) {
            option("pairByName", quoted(pairs.path("low").asText()) + ", " + quoted(pairs.path("high").asText()));
        }
        for (Map.Entry<String, JsonNode> given : job.path("ranges").properties()) {
            StringBuilder arguments = new StringBuilder(quoted(given.getKey()));
            given.getValue().forEach(pair -> arguments.append(", new Range(").append(pair.path(0).floatValue()).append("f, ")
                    .append(pair.path(1).floatValue()).append("f)"));
            option("range", arguments.toString());
        }
        flag("udim");
        flag("copies");
        if (job.has("stackedFrom")) {
            option("stackedFrom", quoted(job.path("stackedFrom").asText()));
        } else {
            flag("stacked");
        }
    }

    private void number(String name) {
        if (job.path(name).isNumber()) {
            option(name, job.path(name).asText());
        }
    }

    private <E extends Enum<E>> void constant(String name, Class<E> type, E usual) {
        E value = Enum.valueOf(type, job.path(name).asText());
        if (value != usual) {
            option(name, type.getName() + "." + value.name());
        }
    }

    private void flag(String name) {
        if (job.path(name).asBoolean()) {
            option(name, "");
        }
    }

    private void option(String name, String arguments) {
        out.append("\n        .").append(name).append('(').append(arguments).append(')');
    }

    /** Names may come from anybody's files and stand in code here. */
    private static String plain(String name) {
        return name.replaceAll("[^\\p{L}\\p{N} ._-]", "_");
    }

    private static String quoted(String text) {
        StringBuilder out = new StringBuilder("\"");
        for (int i = 0; i < text.length(); i++) {
            char c = text.charAt(i);
            if (c == '"' || c == '\\' || c < ' ') {
                out.append(String.format(Locale.ROOT, "\\%03o", (int) c)); // octal: a unicode escape would end the text before it is one
            } else {
                out.append(c);
            }
        }
        return out.append('"').toString();
    }
}
