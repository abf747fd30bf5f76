// A first bake, small enough to play with: a bollard is generated, a low poly turned around it, two maps baked and written.
//   console/estampage examples/toy.jsh size=256 triangles=60000 rays=16 out=out/toy
import org.estampage.testresources.Bollard;

var size = arg("size", 256);
var shape = Bollard.generate(arg("triangles", 60_000));
var high = smooth(mesh(shape.positions(), shape.triangles()).name("bollard"));
var low = lathe(high).sides(24).rings(8).capped().size(size);
var result = bake(low, high).size(size).maps(normal(), occlusion(arg("rays", 16)).reach(0.15)).run();
IO.println(result.summary());
save(result, arg("out", "out/toy") + "/bollard");
