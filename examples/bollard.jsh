// The whole main job, from a sculpt to what is handed over: maps, a finished material, the low poly in it as one file, a preview, a report.
//   console/estampage examples/bollard.jsh size=2048 triangles=3000000 rays=64 out=out
//   further: preview=640 is the height of the preview, tile=512 that of the tiling inputs; runs=2 does all twice: the second run is warm,
//   the compiler has seen all the code
import org.estampage.testresources.Bollard;
import org.estampage.testresources.Surfaces;

var size = arg("size", 2048);
var triangles = arg("triangles", 3_000_000);
var rays = arg("rays", 64);
var side = arg("tile", 512);
var pixels = arg("preview", 640);
var runs = arg("runs", 1);
var out = arg("out", "out");

var clock = 0L;
var total = 0.0;
// Prints a stage and how long it took since the last one.
void stage(String name) {
    var seconds = (System.nanoTime() - clock) * 1e-9;
    IO.println(String.format(Locale.ROOT, "%-10s%12.2f s", name, seconds));
    total += seconds;
    clock = System.nanoTime();
}

// A harbour museum's cast-iron bollard, generated, with colours painted on its vertices.
Mesh sculpt() {
    var shape = Bollard.generate(triangles);
    var colours = new float[shape.colours().length];
    for (int i = 0; i < colours.length; i++) {
        colours[i] = (shape.colours()[i] & 0xff) / 255f;
    }
    return smooth(mesh(shape.positions(), shape.triangles()).name("bollard-high")
            .colourSet(new Attribute("paint", 3, colours, shape.triangles(), Attribute.Storage.UNIT_BYTE)));
}

// A map of the low poly's own frame, which brings projected normals into tangent space. The version lets the cache keep it: another function, another version.
CustomMap frame(String name, CustomMap.Values values) {
    return custom(name, 3, values).kind(Encoding.Kind.NORMAL).version("1");
}

// A generated surface's tiling image: raw values, row by row.
FloatImage filled(Encoding encoding, float[] values) {
    var image = FloatImage.create(side, side, encoding);
    image.write(0, 0, side, side, values);
    return image;
}

// Pitted iron, green paint that is worn where the surface is convex, rust in hollows; every input is generated.
Finish material(Mesh low, BakeResult result) {
    var where = result.map("position");
    var facing = result.map("object-normal");
    var bumps = result.map("curvature");
    var open = result.map("occlusion");
    // Baked onto itself, the low poly tells its own frame.
    var own = bake(low, low).cage(cage(low).offset(1e-3)).size(size).samples(1)
            .maps(frame("tangent", (in, dest) -> { for (int a = 0; a < 3; a++) dest[a] = in.lowTangent(a); }),
                    frame("bitangent", (in, dest) -> { for (int a = 0; a < 3; a++) dest[a] = in.lowBitangent(a); }),
                    frame("normal", (in, dest) -> { for (int a = 0; a < 3; a++) dest[a] = in.lowNormal(a); })).run();
    // Lays a surface's tiles, some metres wide, onto the bollard from three sides.
    class Projection {
        ImageSource of(Encoding encoding, float[] values, double metres) {
            return triplanar(filled(encoding, values), metres, where, facing);
        }

        LayerMaterial of(Surfaces surface, double metres, double metal) {
            return LayerMaterial.of(of(Encoding.colour(3), surface.colour(), metres), of(Encoding.data(Range.UNIT, 1), surface.roughness(), metres), metal)
                    .withNormal(triplanar(filled(Encoding.normal(), surface.normals()), metres, where, own.map("normal"))
                            .inTangentSpace(own.map("tangent"), own.map("bitangent")));
        }
    }
    var projected = new Projection();
    var iron = projected.of(Surfaces.castIron(side), 0.22, 1);
    var paint = projected.of(Surfaces.paint(side), 0.30, 0);
    var rust = projected.of(Surfaces.rust(side), 0.16, 0);
    var polished = LayerMaterial.even(0.33, 0.32, 0.30, 0.36, 1);

    // Paint is gone where the surface is convex, more in some places than in others, and in chips.
    // worked(): once for all that is made of them.
    var patchy = SurfaceMask.clouds(where, 0.09, 4, 1).worked();
    var fine = SurfaceMask.clouds(where, 0.012, 4, 2).worked();
    var edges = SurfaceMask.convex(bumps).plus(fine, 0.5).plus(patchy, 0.5).worked();
    var worn = edges.levels(0.95, 1.1);
    var chips = patchy.times(0.7).plus(fine, 0.3).levels(0.62, 0.65);
    var foot = SurfaceMask.along(where, 0, 1, 0).levels(0.12, 0).times(fine).levels(0.35, 0.55);
    var bare = worn.or(chips).or(foot).worked();
    // Rust sits in what is hidden and hollow, eats around what is bare, and spares what hands rub.
    var hollows = SurfaceMask.hidden(open).plus(SurfaceMask.concave(bumps), 0.5).plus(fine, 0.4);
    var rusty = hollows.levels(0.42, 0.72).eased();
    var crust = bare.times(edges.levels(1.2, 0.9)).times(fine.levels(0.35, 0.5));
    var rubbed = edges.levels(1.3, 1.6);

    return layers(result.map("normal"), iron)
            .add(polished, rubbed, 0.5)
            .add(paint, bare.invert(), 0.8)
            .add(rust, rusty.or(crust).times(0.95), 0.7)
            .occlusion(open).build();
}

BakeResult result = null;
var files = new ArrayList<Path>();

void job() throws IOException {
    clock = System.nanoTime();
    total = 0;
    files.clear();
    var made = sculpt();
    stage("generate");
    save(made, out + "/bollard-high.ply");
    stage("write PLY");

    // From here on it is anybody's sculpt.
    var high = load(out + "/bollard-high.ply");
    stage("read PLY");
    var low = lathe(high).sides(96).rings(12).capped().size(size).build();
    stage("lathe");
    var c = cage(low, high).build();
    stage("fit cage");
    result = bake(low, high).cage(c).size(size).samples(2)
            .maps(normal(), objectNormal(), height(), occlusion(rays).reach(0.15), curvature().over(0.006), position(), coverage()).run();
    stage("bake");
    files.addAll(save(result, out + "/bollard"));
    files.addAll(save(low, out + "/bollard-low.obj"));
    stage("write");

    var finish = material(low, result);
    stage("material");
    files.addAll(save(finish.baseColour(), out + "/bollard-finished-base-colour.png", bits(8)));
    files.addAll(save(finish.normal(), out + "/bollard-finished-normal.png"));
    files.addAll(save(finish.occlusionRoughnessMetal(), out + "/bollard-finished-occlusion-roughness-metal.png", bits(8)));
    files.addAll(save(model(result).finish(finish), out + "/bollard.glb"));
    stage("write");

    // The low poly finished, the low poly in its baked maps, the sculpt.
    var picture = preview(low).dressed(Dressing.of(finish)).beside(low).dressed(result).beside(high).size(3 * pixels / 4, pixels).run();
    files.addAll(save(picture, out + "/bollard-preview.png", bits(8)));
    stage("preview");
    var comparison = compare(low, result, high).size(256).run();
    stage("compare");
    files.addAll(report(result, out + "/bollard.html", ReportOptions.USUAL.withTitle("Bollard")
            .withPicture("The low poly in its finished material, the low poly in its baked maps, the high poly", picture)
            .withNumber("difference", comparison.error(), "°", "mean angle between shading normals from 24 sides, 90° where nothing matches; watch it from bake to bake")
            .withNumber("half of it within", comparison.median(), "°", "median angle where both show the same surface")
            .withNumber("outline", 100 * comparison.outlineDifference(), "%", "pixels that only one of both covers")));
    stage("report");
    IO.println(String.format(Locale.ROOT, "%-10s%12.2f s%n", "all", total));
    IO.println(high);
    IO.println(low);
    IO.println(c);
    IO.println(comparison.summary());
}

for (int run = 1; run <= runs; run++) {
    if (runs > 1) {
        IO.println(run == 1 ? "cold" : "warm");
    }
    job();
    IO.println(result.summary());
}
IO.println("files");
files.forEach(file -> IO.println("  " + file));
