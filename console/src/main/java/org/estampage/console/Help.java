package org.estampage.console;

import java.lang.reflect.Method;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import java.util.TreeSet;
import java.util.stream.Collectors;

/** What the verbs do, by the stages of the job: a line and examples for each; signatures and options come from the code. */
final class Help {
    /** A stage of the job, in the order in which it is done. */
    enum Stage {
        BRING_IN("bring in", "meshes and images from files"), LOW_POLY("low poly", "fewer triangles, nearly the same surface"), UVS("uvs",
                "a layout on the image"), NORMALS("normals", "soft and hard edges"), CAGE("cage", "how far rays look for the detail"), BAKE(
                        "bake", "from high to low poly"), MAPS("maps", "what a bake can carry over: bake(…).maps(…)"), LOOK("look",
                                "see, check and measure what was made"), COMBINE("combine", "images and materials from maps"), HAND_OVER(
                                        "hand over", "files for others"), REPEAT("repeat", "scripts that run again");

        final String title;
        final String what;

        Stage(String title, String what) {
            this.title = title;
            this.what = what;
        }
    }

    /** What can be read about a verb. */
    private record Entry(Stage stage, String line, List<String> examples) {
    }

    /** No wider than the terminals that are in common use. */
    private static final int WIDTH = 100;
    private static final int COLUMN = 16;

    private static final Map<String, Entry> ENTRIES = new LinkedHashMap<>();

    static {
        put(Stage.BRING_IN, "load", "a mesh from an OBJ, PLY, STL or glTF file", "var high = load(\"sculpt.ply\")",
                "var low = load(\"low.obj\").unit(0.01).up(Z)");
        put(Stage.BRING_IN, "mesh", "a mesh from positions (xyz) and triangles (three vertex numbers each)",
                "mesh(new float[] {0, 0, 0, 1, 0, 0, 0, 1, 0}, new int[] {0, 1, 2}).name(\"corner\").build()");
        put(Stage.BRING_IN, "image", "an image with its stored values, 0 to 1", "image(\"mask.png\")");
        put(Stage.BRING_IN, "normalImage", "an image of normals, decoded to -1 to 1", "normalImage(\"plaster-normal.png\")");
        put(Stage.BRING_IN, "colourImage", "an image of colours, decoded from sRGB to linear", "colourImage(\"paint.png\")");

        put(Stage.LOW_POLY, "cleanUp", "the mesh welded, without repeated and coincident triangles", "cleanUp(high).build()",
                "cleanUp(scan).cards().build()");
        put(Stage.LOW_POLY, "decimate", "the mesh with at most so many triangles, or within an error", "decimate(high, 500).build()",
                "decimate(high).errorFraction(0.005).hardEdges(40).build()");
        put(Stage.LOW_POLY, "lowPoly", "a low poly of a scan in one call: cleaned up, hidden parts gone, decimated",
                "lowPoly(scan, 500).build()", "lowPoly(scan, 500).onGround(Y).hardEdges(40).build()");
        put(Stage.LOW_POLY, "withoutHidden", "the mesh without what nobody sees from outside", "withoutHidden(scan).onGround(Y).build()");
        put(Stage.LOW_POLY, "lods", "ever coarser meshes that share the first one's maps", "lods(low, 200, 100)");
        put(Stage.LOW_POLY, "lathe", "a low poly turned around a mesh, about the axis it is round about, with UVs",
                "lathe(high).sides(24).rings(6).capped().size(512).build()",
                "lathe(high).heightFractions(0.1, 0.5, 0.9).ends(OPEN, CLOSED).build()");

        put(Stage.UVS, "unwrap", "the mesh with UVs; seams where you say or where they serve best",
                "unwrap(decimate(high, 500)).gutterTexels(2).size(512).build()", "unwrap(low).seamsByAngle(50).seamsByPart().build()");
        put(Stage.UVS, "repack", "the mesh with the charts of its UVs packed anew", "repack(low).gutterTexels(4).size(512).build()");
        put(Stage.UVS, "atlas", "several meshes with one layout for the charts of all, in their order",
                "atlas(low, plinth).density(1, 0.5).size(1024).build()");
        put(Stage.UVS, "uvPicture", "a drawing of a layout, with what is stretched, overlaps or is flipped marked",
                "save(uvPicture(low, 2048, 1024), \"out/layout.png\", bits(8))");

        put(Stage.NORMALS, "smooth", "the mesh with all edges smooth", "smooth(low)");
        put(Stage.NORMALS, "hardEdges", "the mesh with hard edges where it turns by more than an angle in degrees", "hardEdges(low, 40)");
        put(Stage.NORMALS, "hardAtSeams", "the mesh with hard edges at its UV seams only, which bakes cleanly", "hardAtSeams(low)");
        put(Stage.NORMALS, "normalsOf", "the mesh with normals by options",
                "normalsOf(low).hardAbove(40).hardAtUvBorders().weighted(AREA_AND_ANGLE).build()");

        put(Stage.CAGE, "cage", "an envelope: fitted around both meshes, or the low poly's own offset",
                "var c = cage(low, high).margin(0.1).build()", "var c = cage(low).offset(0.02)");
        put(Stage.CAGE, "importedCage", "an envelope made elsewhere with the low poly's vertices and faces in its order",
                "importedCage(low, load(\"cage.obj\"))");
        put(Stage.CAGE, "cagePicture", "a cage around its high poly from four sides, with what is wrong marked",
                "save(cagePicture(low, high, c), \"out/cage.png\", bits(8))");

        put(Stage.BAKE, "bake", "carries the high poly's detail onto maps of the low poly",
                "var result = bake(low, high).size(128).run()",
                "bake(low, high).cage(c).size(128).samples(2).maps(normal(), height(), occlusion(16)).run()",
                "bake(low, high).size(64).udim().run().tile(1001)");

        put(Stage.MAPS, "normal", "tangent-space normals", "bake(low, high).size(64).maps(normal()).run()", "normal().greenDown()",
                "normal().detail(normalImage(\"plaster-normal.png\"))");
        put(Stage.MAPS, "objectNormal", "object-space normals", "objectNormal()");
        put(Stage.MAPS, "height", "distance from the low poly, in mesh units", "height()", "height().alongNormal().range(0.05)");
        put(Stage.MAPS, "occlusion", "how open the surface is: 0 is closed, 1 is open", "occlusion(64).fadingReach(0.5)",
                "occlusion(1024).error(1 / 64.0)", "occlusion(64).ground(Y)");
        put(Stage.MAPS, "bentNormal", "the mean open direction; the rays of an occlusion map with the same options", "bentNormal(64)",
                "bentNormal(64).objectSpace()");
        put(Stage.MAPS, "thickness", "how far it is through the high poly, in mesh units", "thickness(64).cone(45).reach(0.5)");
        put(Stage.MAPS, "curvature", "signed mean curvature, positive where convex", "curvature().over(0.02)", "curvature().convex()");
        put(Stage.MAPS, "position", "where the high poly was hit, in mesh units", "position()", "position().normalised()");
        put(Stage.MAPS, "ids", "which part was hit, in flat colours", "ids()", "ids().materials()", "ids().pieces()");
        put(Stage.MAPS, "colour", "the high poly's vertex colours, or its texture", "colour()",
                "colour().texture(colourImage(\"paint.png\"))");
        put(Stage.MAPS, "opacity", "the alpha of the high poly's colours or texture; 1 is opaque",
                "opacity().texture(image(\"mask.png\"))");
        put(Stage.MAPS, "coverage", "the fraction of each texel that met the high poly", "coverage()");
        put(Stage.MAPS, "custom", "your own function of position, normal, height, openness … of a sample",
                "custom(\"snow\", 1, (in, out) -> out[0] = Math.max(0, in.normal(1))).range(0, 1)");
        put(Stage.MAPS, "raysOf", "how many rays each texel of another map got", "raysOf(occlusion(1024).error(1 / 64.0))");
        put(Stage.MAPS, "errorOf", "the standard error to expect in each texel of another map",
                "errorOf(occlusion(1024).error(1 / 64.0))");

        put(Stage.LOOK, "check", "what is worth knowing about meshes, UVs, a cage, or an image of normals", "check(low)",
                "check(low, 2048, 1024)", "check(low, high)", "check(low, high, c)", "check(normalImage(\"plaster-normal.png\"))");
        put(Stage.LOOK, "show", "a picture of a value: in the terminal, by the desktop's viewer, or as a file", "show(low)", "show(result)",
                "show(result.map(\"height\"))", "show(uvPicture(low))", "show(cagePicture(low, high, c))", "show(\"mask.png\")");
        put(Stage.LOOK, "preview", "a lit picture of a mesh, bare or in its maps, after .run()",
                "save(preview(low, result).beside(high).size(128).run(), \"out/preview.png\", bits(8))",
                "save(preview(low).from(30, 20).size(128).run(), \"out/bare.png\", bits(8))");
        put(Stage.LOOK, "compare", "how much a low poly in its maps differs from its high poly, from many sides",
                "var difference = compare(low, result, high).views(6).size(96).run()",
                "compare(low, result, high).views(6).size(96).run().error()");
        put(Stage.LOOK, "report", "writes what a bake gave as one page for a browser", "report(result, \"out/bollard.html\")",
                "report(result, \"out/small.html\", ReportOptions.USUAL.withTexels(32))");

        put(Stage.COMBINE, "mips", "an image at half, a quarter … of its size, as it is seen from afar",
                "mips(result.map(\"normal\")).unitLength().build()");
        put(Stage.COMBINE, "layNormals", "a detail's normals over a base's, reoriented",
                "layNormals(result.map(\"normal\"), tile(normalImage(\"plaster-normal.png\"), 4, 4)).detailStrength(0.5).build()");
        put(Stage.COMBINE, "tile", "an image repeated across and down",
                "tile(colourImage(\"paint.png\"), 4, 4).vary(1, 90, 1).size(64, 64).build()");
        put(Stage.COMBINE, "triplanar", "an image projected along three axes, without seams",
                "triplanar(colourImage(\"paint.png\"), 0.25, result.map(\"position\"), result.map(\"object-normal\")).build()");
        put(Stage.COMBINE, "layers",
                "a material on baked normals with layers where masks are; without parameters an option of save: all maps as layers of one EXR file",
                "layers(result.map(\"normal\"), iron).add(rust, SurfaceMask.hidden(result.map(\"occlusion\")).levels(0.3, 0.6)).build()",
                "save(result, \"out/bollard\", layers(), half())");
        put(Stage.COMBINE, "roughnessMips", "mip levels of a roughness, rougher where the normals' levels average out",
                "roughnessMips(finish.normal(), finish.roughness()).build()");
        put(Stage.COMBINE, "packChannels", "images of one channel as the channels of one",
                "packChannels(result.map(\"occlusion\"), result.map(\"coverage\"), result.map(\"occlusion\")).build()");

        put(Stage.HAND_OVER, "save", "writes a mesh, a cage, an image, a model, or all maps of a bake with a manifest",
                "save(result, \"out/bollard\")", "save(result, \"out/bollard-8\", bits(8), greenDown())", "save(low, \"out/low.obj\")",
                "save(low, result, \"out/bollard.glb\")", "save(result.map(\"height\"), \"out/height.exr\")");
        put(Stage.HAND_OVER, "bits", "an option of save: the depth of integer files, 8 or 16", "save(result, \"out/a\", bits(8))");
        put(Stage.HAND_OVER, "greenDown", "an option of save: normals with green against +Y", "save(result, \"out/a\", greenDown())");
        put(Stage.HAND_OVER, "dithered", "an option of save: normals in 8 bits whose slow slopes show no steps",
                "save(result, \"out/a\", dithered())");
        put(Stage.HAND_OVER, "tiff", "an option of save: maps as TIFF files of 8 or 16 bits, or floats()",
                "save(result, \"out/a\", tiff())");
        put(Stage.HAND_OVER, "exr", "an option of save: maps as EXR files of raw values", "save(result, \"out/a\", exr())");
        put(Stage.HAND_OVER, "tga", "an option of save: maps as TGA files of 8 bits",
                "save(bake(low, high).size(64).maps(normal()).run(), \"out/a\", tga())");
        put(Stage.HAND_OVER, "half", "an option of save: 16-bit floats in EXR files; heights and positions stay 32-bit ones",
                "save(result, \"out/a\", exr(), half())");
        put(Stage.HAND_OVER, "floats", "an option of save: 32-bit floats, raw values, in TIFF and EXR files",
                "save(result, \"out/a\", tiff(), floats())");
        put(Stage.HAND_OVER, "names", "an option of save: files' names with {asset}, {set}, {map}, {tile}",
                "save(result, \"out/a\", names(\"{map}/{asset}\"))");
        put(Stage.HAND_OVER, "set", "an option of save: the texture set's name in the files' names",
                "save(result, \"out/a\", set(\"iron\"), names(\"{set}-{map}\"))");
        put(Stage.HAND_OVER, "model", "the low poly of a bake with its maps as one glTF model",
                "save(model(result).roughness(result.map(\"coverage\")), \"out/bollard.glb\")");
        put(Stage.HAND_OVER, "manifest", "what tells of a bake: inputs, options, ranges, findings, who accepted which",
                "save(manifest(result).accepted(\"rays-below-faces\", \"A. Keeper\", \"under the rope\"), \"out/m.json\")",
                "manifest(result).range(\"height\")");
        put(Stage.HAND_OVER, "digest", "the fingerprint of all that a bake sees of a mesh", "digest(high)");

        put(Stage.REPEAT, "arg", "a script's name=value argument, in the default's type", "var size = arg(\"size\", 2048)");
        put(Stage.REPEAT, "path", "a path as the caller means it, for Java's own file methods", "path(\"out/notes.txt\")");
        put(Stage.REPEAT, "fail", "ends a script with a message and exit code 1, as a gate of an unattended build",
                "if (result.missedCount() > result.coveredCount() / 2) fail(\"the cage is too tight\")");
        put(Stage.REPEAT, "trace", "where in the code the last exception arose", "trace()");
        put(Stage.REPEAT, "watch", "works whenever a file or a folder has changed and come to rest; Ctrl-C ends it",
                "watch(\"sculpt.ply\", () -> save(bake(low, load(\"sculpt.ply\")).run(), \"out/bollard\"))",
                "watch(\"props\", changed -> IO.println(changed))");
        put(Stage.REPEAT, "assets", "a set of assets, of a folder or a table, worked on one after the other",
                "assets(\"props\").each(asset -> bake(load(asset.low()), load(asset.high())).size(64).run())",
                "save(assets(\"props.csv\").each(asset -> bake(load(asset.low()), load(asset.high())).size(asset.whole(\"size\")).run()), \"out/props.json\")");
        put(Stage.REPEAT, "cache", "where what takes long is kept from run to run: how much it holds and may hold", "cache()",
                "cache().folder(\"out/kept\").limit(20)", "cache().off()");
        put(Stage.REPEAT, "help", "this list; a stage, a verb or an option by its name; what a value can do", "help(\"bake\")",
                "help(\"maps\")", "help(\"seamsByAngle\")", "help(low)");
    }

    /** What the names in examples stand for. */
    private static final Map<String, String> VALUES = new LinkedHashMap<>();

    static {
        VALUES.put("low", "your low poly");
        VALUES.put("high", "your high poly");
        VALUES.put("scan", "a mesh from a scan");
        VALUES.put("plinth", "another low poly");
        VALUES.put("c", "a cage");
        VALUES.put("result", "what a bake gave");
        VALUES.put("iron", "a LayerMaterial");
        VALUES.put("rust", "another");
        VALUES.put("finish", "what layers(…).build() gave");
    }

    /** What the engine's words for parameters mean to who writes a script. */
    private static final Map<String, String> TYPES = new LinkedHashMap<>();

    static {
        TYPES.put("MeshSource", "a mesh, or what makes one, such as decimate(…)");
        TYPES.put("ImageSource", "an image, or what makes one, such as tile(…)");
        TYPES.put("CageSource", "a cage, or what makes one, such as cage(…)");
        TYPES.put("SurfaceMap", "a map, such as normal()");
        TYPES.put("OpennessMap", "a map made by rays, such as occlusion(64)");
    }

    private Help() {
    }

    private static void put(Stage stage, String verb, String line, String... examples) {
        ENTRIES.put(verb, new Entry(stage, line, List.of(examples)));
    }

    /** Returns the verbs' names. */
    static List<String> names() {
        return List.copyOf(ENTRIES.keySet());
    }

    /** Returns what a verb does, in one line. */
    static String line(String verb) {
        return entry(verb).line;
    }

    /** Returns the examples of a verb; each is a snippet. */
    static List<String> examples(String verb) {
        return entry(verb).examples;
    }

    private static Entry entry(String verb) {
        Entry entry = ENTRIES.get(verb);
        if (entry == null) {
            throw new IllegalArgumentException("no verb is called \"" + verb + "\"");
        }
        return entry;
    }

    /** Returns all verbs by stages. */
    static String all() {
        StringBuilder text = new StringBuilder();
        for (Stage stage : Stage.values()) {
            text.append(text.isEmpty() ? "" : System.lineSeparator()).append(of(stage));
        }
        return text + String.format("%nhelp(\"bake\") tells more of one, with examples; help(low) what can be done with a value%n");
    }

    private static String of(Stage stage) {
        StringBuilder text = new StringBuilder();
        text.append(String.format("%s: %s%n", stage.title, stage.what));
        ENTRIES.forEach((verb, entry) -> {
            if (entry.stage == stage) {
                text.append(
                        hanging("  " + verb + " ".repeat(Math.max(1, COLUMN - 2 - verb.length())), List.of(entry.line.split(" ")), " "));
            }
        });
        return text.toString();
    }

    /**
     * Returns what there is to read about a verb, a stage, or an option of what a verb gives.
     *
     * @throws IllegalArgumentException if nothing has that name; the message names the nearest
     */
    static String of(String name) {
        if (ENTRIES.containsKey(name)) {
            return verb(name, entry(name));
        }
        String plain = name.strip().replaceAll("^\\.|\\(.*$", "");
        if (ENTRIES.containsKey(plain)) {
            return verb(plain, entry(plain));
        }
        Optional<Stage> stage = Arrays.stream(Stage.values()).filter(s -> s.title.equals(plain.toLowerCase(Locale.ROOT))).findFirst();
        if (stage.isPresent()) {
            return of(stage.get());
        }
        String options = optionsCalled(plain);
        if (!options.isEmpty()) {
            return options;
        }
        List<String> known = new ArrayList<>(names());
        Arrays.stream(Stage.values()).forEach(s -> known.add(s.title));
        known.addAll(optionNames());
        throw new IllegalArgumentException("there is no help about \"" + name + "\"" + Nearest.to(plain, known)
                .map(meant -> "; did you mean " + meant + "?").orElse("; help() lists the verbs"));
    }

    private static String verb(String verb, Entry entry) {
        StringBuilder text = new StringBuilder();
        text.append(hanging(verb + ": ", List.of(entry.line.split(" ")), " "));
        List<Method> methods = Members.ofVerbs(verb);
        methods.forEach(method -> text.append(String.format("    %s%n", Members.signature(method))));
        for (Class<?> type : Members.given(verb)) {
            text.append(members(Members.simpleName(type), type));
        }
        if (!entry.examples.isEmpty()) {
            text.append(String.format("%s%n", entry.examples.size() == 1 ? "example" : "examples"));
            entry.examples.forEach(example -> text.append(String.format("    %s%n", example)));
        }
        text.append(glossary(entry.examples, methods));
        return text.toString();
    }

    private static String members(String name, Class<?> type) {
        List<Method> options = Members.options(type), questions = Members.questions(type);
        StringBuilder text = new StringBuilder();
        text.append(String.format("gives %s %s%n", "AEIOU".indexOf(name.charAt(0)) >= 0 ? "an" : "a", name));
        if (!options.isEmpty()) {
            text.append(hanging("    options  ", options.stream().map(m -> "." + Members.signature(m)).toList(), ", "));
        }
        if (!questions.isEmpty()) {
            text.append(hanging("    then     ", questions.stream().map(m -> "." + Members.signature(m) + " → "
                    + Members.simpleName(m.getGenericReturnType())).toList(), ", "));
        }
        return text.toString();
    }

    private static String glossary(List<String> examples, List<Method> methods) {
        List<String> words = new ArrayList<>();
        String masked = examples.stream().map(Masked::of).collect(Collectors.joining("\n"));
        VALUES.forEach((name, meaning) -> {
            if (Masked.find(masked, name) >= 0 && Masked.find(masked, "var " + name) < 0) {
                words.add(name + " is " + meaning);
            }
        });
        String signatures = methods.stream().map(Members::signature).collect(Collectors.joining("\n"));
        TYPES.forEach((name, meaning) -> {
            if (Masked.find(signatures, name) >= 0) {
                words.add(name + " is " + meaning);
            }
        });
        return words.isEmpty() ? "" : hanging("where ", words, ", ");
    }

    /** Returns what a value can do. */
    static String ofValue(Object value) {
        Class<?> type = Members.publicType(value.getClass());
        StringBuilder text = new StringBuilder(String.format("%s%n", Members.simpleName(type)));
        List<Method> options = Members.options(type), questions = Members.questions(type);
        if (!options.isEmpty()) {
            text.append(hanging("    options  ", options.stream().map(m -> "." + Members.signature(m)).toList(), ", "));
        }
        if (!questions.isEmpty()) {
            text.append(hanging("    ask      ", questions.stream().map(m -> "." + Members.signature(m) + " → "
                    + Members.simpleName(m.getGenericReturnType())).toList(), ", "));
        }
        String verbs = ENTRIES.keySet().stream()
                .filter(verb -> Members.ofVerbs(verb).stream()
                        .anyMatch(m -> m.getParameterCount() > 0 && m.getParameterTypes()[0] != Object.class
                                && m.getParameterTypes()[0].isAssignableFrom(type)))
                .map(verb -> verb + "(…)").collect(Collectors.joining(", "));
        if (!verbs.isEmpty()) {
            text.append(hanging("    verbs    ", List.of(verbs.split(", ")), ", "));
        }
        return text.toString();
    }

    private static String optionsCalled(String name) {
        StringBuilder text = new StringBuilder();
        ENTRIES.keySet().forEach(verb -> Members.given(verb).forEach(type -> {
            List<Method> called = new ArrayList<>(Members.options(type));
            called.addAll(Members.questions(type));
            called.removeIf(method -> !method.getName().equals(name));
            if (!called.isEmpty()) {
                text.append(hanging("    " + verb + "(…)", called.stream().map(m -> "." + Members.signature(m)).toList(), " or "));
            }
        }));
        return text.isEmpty() ? "" : String.format("%s: an option or a question of%n", name) + text;
    }

    private static Set<String> optionNames() {
        Set<String> names = new TreeSet<>();
        ENTRIES.keySet().forEach(verb -> Members.given(verb).forEach(type -> {
            Members.options(type).forEach(method -> names.add(method.getName()));
            Members.questions(type).forEach(method -> names.add(method.getName()));
        }));
        return names;
    }

    /** Returns pieces behind a head, on as many lines as they need, all indented as far as the first. */
    static String hanging(String head, List<String> pieces, String between) {
        String indent = " ".repeat(head.codePointCount(0, head.length()));
        StringBuilder text = new StringBuilder();
        StringBuilder line = new StringBuilder(head);
        for (int i = 0; i < pieces.size(); i++) {
            String piece = pieces.get(i) + (i + 1 < pieces.size() ? between : "");
            if (line.length() > indent.length() && line.length() + piece.stripTrailing().length() > WIDTH) {
                text.append(line.toString().stripTrailing()).append(System.lineSeparator());
                line = new StringBuilder(indent);
            }
            line.append(piece);
        }
        return text.append(line.toString().stripTrailing()).append(System.lineSeparator()).toString();
    }
}
