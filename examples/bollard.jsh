// The whole main job, from a sculpt to maps and a low poly on disk.
//   console/estampage examples/bollard.jsh size=2048 triangles=3000000 rays=64 out=out runs=1
// runs=2 does it twice in one go: the second run is warm, the compiler has seen all the code.
import org.estampage.testresources.Bollard;

var size = arg("size", 2048);
var triangles = arg("triangles", 3_000_000);
var rays = arg("rays", 64);
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

BakeResult result = null;
var files = new ArrayList<Path>();

void job() throws IOException {
    clock = System.nanoTime();
    total = 0;
    // A harbour museum's cast-iron bollard, generated, and written the way a sculpt arrives.
    var shape = Bollard.generate(triangles);
    stage("generate");
    var colours = new float[shape.colours().length];
    for (int i = 0; i < colours.length; i++) {
        colours[i] = (shape.colours()[i] & 0xff) / 255f;
    }
    var sculpt = mesh(shape.positions(), shape.triangles()).name("bollard-high")
            .colourSet(new Attribute("paint", 3, colours, shape.triangles(), Attribute.Storage.UNIT_BYTE));
    save(smooth(sculpt), out + "/bollard-high.ply");
    stage("write PLY");

    // From here on it is anybody's sculpt.
    var high = load(out + "/bollard-high.ply");
    stage("read PLY");
    var low = lathe(high).sides(96).rings(12).capped().size(size).build();
    stage("lathe");
    var c = cage(low, high).build();
    stage("fit cage");
    result = bake(low, high).cage(c).size(size).samples(2)
            .maps(normal(), objectNormal(), height(), occlusion(rays), position(), coverage()).run();
    stage("bake");
    files.clear();
    files.addAll(save(result, out + "/bollard"));
    files.addAll(save(low, out + "/bollard-low.obj"));
    stage("write");
    IO.println(String.format(Locale.ROOT, "%-10s%12.2f s%n", "all", total));
    IO.println(high);
    IO.println(low);
    IO.println(c);
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
