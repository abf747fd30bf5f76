// Maps of one's own: a function that is asked for each sample. Snow lies where the surface looks up; a tide mark runs around at a height.
//   console/estampage examples/custom.jsh size=512 triangles=200000 out=out/custom
import org.estampage.testresources.Bollard;

var size = arg("size", 512);
var out = arg("out", "out/custom");
var shape = Bollard.generate(arg("triangles", 200_000));
var high = smooth(mesh(shape.positions(), shape.triangles()).name("bollard"));
var low = lathe(high).sides(32).rings(10).capped().size(size);

// How far the surface looks up: 0 … 1. The version says what the function does, so that a later run may take the map from the cache.
var snow = custom("snow", 1, (in, dest) -> dest[0] = Math.max(0, in.normal(1))).range(0, 1).version("1");

// Wet below the mark, dry above, over a finger's breadth.
var mark = arg("mark", 0.3);
var tide = custom("tide", 1, (in, dest) -> dest[0] = (float) Math.clamp((mark - in.position(1)) / 0.02, 0, 1)).range(0, 1).bits(8);

var result = bake(low, high).size(size).maps(normal(), snow, tide).run();
IO.println(result.summary());
save(result, out + "/bollard");
