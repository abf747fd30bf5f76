package org.estampage.console;

import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;

/** One line and an example for every verb. */
final class Help {
    private record Entry(String line, String example) {
    }

    private static final Map<String, Entry> ENTRIES = new LinkedHashMap<>();

    static {
        put("load", "a mesh from an OBJ, PLY, STL or glTF file", "var high = load(\"bollard-high.ply\")");
        put("mesh", "a mesh from positions (xyz) and triangles (three vertex numbers each)", "mesh(positions, triangles)");
        put("save",
                "writes a mesh, a cage, an image, a model, or all maps of a bake with a manifest; options bits(16), tiff(), exr(), half(), layers(), greenDown(), dithered(), names(pattern), set(name), …",
                "save(result, \"out/bollard\", bits(16)), save(result, \"out/bollard\", layers(), half()), save(low, result, \"out/bollard.glb\")");
        put("cleanUp", "the mesh welded, without repeated and coincident triangles, edges of many triangles as borders; .cards()",
                "cleanUp(load(\"scan.ply\"))");
        put("decimate",
                "the mesh with at most so many triangles, or within an error; .error(length), .errorFraction(part), .hardEdges(degrees), .withoutWelding()",
                "decimate(high, 3000), decimate(high).error(0.01)");
        put("lowPoly",
                "a low poly of a scan in one call: cleaned up, hidden parts gone, decimated, mended; .keepHidden(), .onGround(Axis.Y), .hardEdges(degrees)",
                "lowPoly(scan, 3000)");
        put("withoutHidden", "the mesh without what nobody sees from outside; .onGround(Axis.Y), .openness(share)", "withoutHidden(scan)");
        put("lods", "ever coarser meshes that share the first one's maps, each with how far it is from it", "lods(low, 2000, 1000, 500)");
        put("lathe",
                "a low poly turned around a mesh, about the axis it is round about; .sides(n), .rings(n) or .heights(…), .axis(Y), .ends(OPEN | CLOSED | CAPPED, …), .meanRadius(), .quantileRadius(q)",
                "lathe(high).sides(96).rings(12).capped(), lathe(high).heights(0.05, 0.3, 0.6).ends(OPEN, CLOSED)");
        put("unwrap", "the mesh with UVs; seams by .seamsByAngle, .seamsByPart, .seams, .seamPath or automatic; .gutterTexels, .size",
                "unwrap(low).seamsByAngle(50).gutterTexels(16).size(2048)");
        put("repack", "the mesh with the charts of its UVs packed anew; .gutterTexels, .size, .texelsPerUnit, .keepDensities, .laidOutFor",
                "repack(low).gutterTexels(16).size(2048)");
        put("uvPicture", "the layout of a mesh's UVs with distortion in colour, and overlapping and flipped triangles hatched",
                "save(uvPicture(low), \"layout.png\", bits(8)), uvPicture(low, 2048, 1024)");
        put("atlas", "several meshes with one layout for the charts of all; .build() gives them in their order; .density(mesh, weight)",
                "var set = atlas(bollard, plinth).density(1, 0.5).size(4096).build()");
        put("smooth", "the mesh with all edges smooth", "smooth(low)");
        put("hardEdges", "the mesh with hard edges where it turns by more than an angle in degrees", "hardEdges(low, 40)");
        put("hardAtSeams", "the mesh with hard edges at its UV seams only, which bakes cleanly", "hardAtSeams(low)");
        put("normalsOf", "the mesh with normals by options; .hardAbove(degrees), .hardAtUvBorders, .hardBetweenSmoothingGroups, .weighted",
                "normalsOf(low).hardAbove(40).hardAtUvBorders().weighted(AREA_AND_ANGLE)");
        put("cage", "an envelope: fitted around both meshes, or the low poly's own offset",
                "cage(low, high), cage(low).offset(0.02), cage(low).offset(\"push\", 0, 0.1)");
        put("cagePicture", "a cage around its high poly from four sides, with what stands out, folds, crosses or leans too far marked",
                "save(cagePicture(low, high, c), \"cage.png\")");
        put("importedCage", "an envelope made elsewhere with the low poly's vertices and faces in its order",
                "importedCage(low, load(\"cage.obj\"))");
        put("bake",
                "carries the high poly's detail onto maps of the low poly; .run() does it; charts meant to share texels: .stacked(), .stackedFrom(part), .copies(); charts on UDIM tiles: .udim()",
                "bake(low, high).cage(c).size(2048).samples(2).maps(normal(), occlusion(64)).run()");
        put("normal", "map: tangent-space normals; .greenDown(), .detail(image) for a normal map that the high poly wears", "normal()");
        put("objectNormal", "map: object-space normals", "objectNormal()");
        put("height", "map: distance from the low poly, in mesh units; .alongNormal(), .range(r)", "height()");
        put("occlusion",
                "map: how open the surface is, so many rays a texel; .reach(length), .fadingReach(length), .error(1/64.0), .ground(Y), …",
                "occlusion(64).fadingReach(0.5), occlusion(1024).error(1/64.0)");
        put("bentNormal", "map: the mean open direction, tangent space; the rays of an occlusion map with the same options; .objectSpace()",
                "bentNormal(64)");
        put("thickness", "map: how far it is through the high poly, in mesh units; .cone(degrees), .reach(length)",
                "thickness(64).cone(45)");
        put("curvature", "map: signed mean curvature, positive where convex; .over(length), .range(r), .convex(), .concave()",
                "curvature().over(0.02)");
        put("raysOf", "map: how many rays each texel of another map got", "raysOf(occlusion(1024).error(1/64.0))");
        put("errorOf", "map: the standard error to expect in each texel of another map", "errorOf(occlusion(1024).error(1/64.0))");
        put("position", "map: where the high poly was hit, in mesh units; .normalised() for 0 to 1 over its bounds", "position()");
        put("ids", "map: which part was hit, in flat colours; .materials(), .colours() as painted, .pieces()", "ids(), ids().materials()");
        put("colour",
                "map: the high poly's vertex colours, or its texture; .texture(image), .texture(material, image), .texture(1002, image) for a UDIM tile, .linear()",
                "colour(), colour().texture(colourImage(\"paint.png\"))");
        put("opacity", "map: the alpha of the high poly's vertex colours, or of its texture; 1 is opaque",
                "opacity().texture(image(\"mask.png\"))");
        put("custom", "map: your own function of position, normal, height, openness ... of a sample; .range(a, b), .kind(k), .queries(q)",
                "custom(\"snow\", 1, (in, out) -> out[0] = Math.max(0, in.normal(1)))");
        put("coverage", "map: the fraction of each texel that met the high poly", "coverage()");
        put("preview",
                "a lit picture of a mesh, bare or in its maps, after .run(); .beside(high), .dressed(…), .from(30, 20), .up(Axis.Z), .size(1024), .light(-45, 40), .turntable(24)",
                "save(preview(low, result).beside(high).run(), \"preview.png\", bits(8))");
        put("compare",
                "how much a low poly in its maps differs from its high poly, from many sides, after .run(): .error() is the number to watch, .summary(), .picture(), .texelPicture(); .views(24), .size(512)",
                "compare(low, result, high).run()");
        put("image", "an image with its stored values, 0 to 1", "image(\"mask.png\")");
        put("normalImage", "an image of normals, decoded to -1 to 1", "normalImage(\"plaster-normal.png\")");
        put("colourImage", "an image of colours, decoded from sRGB to linear", "colourImage(\"paint.png\")");
        put("mips",
                "an image at half, a quarter … of its size, as it is seen from afar, after .build(); number 0 is the image; .unitLength(), .downTo(texels)",
                "mips(result.map(\"normal\")).unitLength().build().get(3)");
        put("layNormals",
                "a detail's normals over a base's, reoriented; .method(m), .baseStrength(s), .detailStrength(s), .where(mask), .detailGreenDown(), .size(w, h), .findings()",
                "layNormals(result.map(\"normal\"), tile(normalImage(\"plaster-normal.png\"), 4, 4)).detailStrength(0.5)");
        put("tile",
                "an image repeated across and down; .rotate(degrees), .offset(u, v), .vary(tiles, turn, seed) against visible repeats, .greenDown(), .size(w, h)",
                "tile(colourImage(\"rust.png\"), 4, 4).vary(1, 90, 1)");
        put("triplanar",
                "an image projected along three axes by baked positions and normals, without seams; .sharpness(power), .inTangentSpace(tangents, bitangents)",
                "triplanar(colourImage(\"iron.png\"), 0.25, result.map(\"position\"), result.map(\"object-normal\"))");
        put("layers",
                "a material on baked normals with layers where masks are; .add(material, mask), .add(material, mask, fill), .occlusion(image), .build()",
                "layers(result.map(\"normal\"), iron).add(rust, SurfaceMask.hidden(result.map(\"occlusion\")).levels(0.3, 0.6)).build()");
        put("roughnessMips", "mip levels of a roughness, after .build(), rougher where the normals' levels average out",
                "roughnessMips(finish.normal(), finish.roughness()).build()");
        put("packChannels", "images of one channel as the channels of one; by name and content with ChannelPack",
                "save(packChannels(result.map(\"occlusion\"), roughness, metal), \"out/packed.png\")");
        put("check",
                "what is worth knowing about a mesh and its UVs, about two meshes that should fit, about a cage between them, or about an image of normals",
                "check(low), check(normalImage(\"a.png\")), check(low, 2048, 1024), check(low, high), check(low, high, c), check(low, high, c, 45)");
        put("report", "writes what a bake gave as one page for a browser: maps, findings, model, times, settings",
                "report(result, \"out/bollard.html\"), report(result, \"small.html\", ReportOptions.USUAL.withTexels(512))");
        put("bits", "an option of save: the depth of integer files, 8 or 16", "save(result, \"out/a\", bits(8))");
        put("greenDown", "an option of save: normals with green against +Y", "save(result, \"out/a\", greenDown())");
        put("tiff", "an option of save: maps as TIFF files of 8 or 16 bits, or floats()", "save(result, \"out/a\", tiff())");
        put("exr", "an option of save: maps as EXR files of raw values", "save(result, \"out/a\", exr())");
        put("tga", "an option of save: maps as TGA files of 8 bits", "save(result, \"out/a\", tga())");
        put("half", "an option of save: 16-bit floats in EXR files; heights and positions stay 32-bit ones",
                "save(result, \"out/a\", exr(), half())");
        put("floats", "an option of save: 32-bit floats, raw values, in TIFF and EXR files", "save(result, \"out/a\", tiff(), floats())");
        put("layers", "an option of save: all maps as layers of one EXR file", "save(result, \"out/a\", layers())");
        put("dithered", "an option of save: normals in 8 bits whose slow slopes show no steps", "save(result, \"out/a\", dithered())");
        put("names", "an option of save: files' names with {asset}, {set}, {map}, {tile}",
                "save(result, \"out/a\", names(\"{map}/{asset}\"))");
        put("set", "an option of save: the texture set's name in the files' names", "save(result, \"out/a\", set(\"iron\"))");
        put("model",
                "the low poly of a bake with its maps as one glTF model; .baseColour(image), .roughness, .metal, .normal, .coarser(meshes), .texturesBeside()",
                "save(model(result).roughness(rough), \"bollard.glb\"), save(low, result, \"bollard.glb\")");
        put("manifest",
                "what tells of a bake: inputs, options, ranges, findings and who accepted which; .open(Severity.WARNING), .accepted(kind, by, why), .script()",
                "save(manifest(result).accepted(\"missed-back-faces\", \"A. Keeper\", \"under the base\"), \"m.json\"), manifest(\"m.json\").range(\"height\")");
        put("digest", "the fingerprint of all that a bake sees of a mesh", "digest(high)");
        put("path", "a path as the caller means it, for Java's own file methods", "path(\"data/heights.npz\")");
        put("arg", "a script's name=value argument, in the default's type", "arg(\"size\", 2048)");
        put("help", "this list, or one verb", "help(\"bake\")");
    }

    private Help() {
    }

    private static void put(String verb, String line, String example) {
        ENTRIES.put(verb, new Entry(line, example));
    }

    /** Returns the verbs' names. */
    static List<String> names() {
        return List.copyOf(ENTRIES.keySet());
    }

    static String all() {
        StringBuilder text = new StringBuilder();
        ENTRIES.forEach((verb, entry) -> text.append(String.format("%-14s%s%n", verb, entry.line)));
        return text.toString();
    }

    static String of(String verb) {
        Entry entry = ENTRIES.get(verb);
        if (entry == null) {
            throw new IllegalArgumentException("no verb is called \"" + verb + "\"" + Nearest.to(verb, names())
                    .map(meant -> "; did you mean " + meant + "?").orElse("; help() lists them"));
        }
        return verb + ": " + entry.line + System.lineSeparator() + "    " + entry.example + System.lineSeparator();
    }
}
