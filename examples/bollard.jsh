// The whole main job, from a sculpt to maps and a low poly on disk.
//   console/estampage examples/bollard.jsh size=2048 triangles=3000000 out=out
import org.estampage.testresources.Bollard;

var size = arg("size", 2048);
var triangles = arg("triangles", 3_000_000);
var rays = arg("rays", 64);
var out = arg("out", "out");
var clock = System.nanoTime();
// Prints a stage and how long it took since the last one.
void stage(String name) {
    var now = System.nanoTime();
    IO.println(String.format(Locale.ROOT, "%-10s%12.2f s", name, (now - clock) * 1e-9));
    clock = now;
}

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
var result = bake(low, high).cage(c).size(size).samples(2)
        .maps(normal(), objectNormal(), height(), occlusion(rays), position(), coverage()).run();
stage("bake");
var files = new ArrayList<>(save(result, out + "/bollard"));
files.addAll(save(result.low(), out + "/bollard-low.obj"));
stage("write");

IO.println();
IO.println(high);
IO.println(low);
IO.println(c);
IO.println(result.summary());
IO.println("files");
files.forEach(file -> IO.println("  " + file));
