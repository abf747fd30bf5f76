// Charts over several UDIM tiles: each tile gets files of its own, out/udim/bollard-normal.1001.png, -normal.1002.png …
//   console/estampage examples/udim.jsh size=512 triangles=200000 out=out/udim
import org.estampage.testresources.Bollard;

var size = arg("size", 512);
var out = arg("out", "out/udim");
var shape = Bollard.generate(arg("triangles", 200_000));
var high = smooth(mesh(shape.positions(), shape.triangles()).name("bollard"));
var low = unwrap(lathe(high).sides(32).rings(10).capped()).tiles(2).size(size).gutterTexels(8).build();
save(uvPicture(low), out + "/layout.png");

var result = bake(low, high).size(size).udim().maps(normal(), occlusion(arg("rays", 16)).reach(0.15)).run();
IO.println(result.summary());
for (var tile : result.tiles()) {
    IO.println(tile.number() + ": " + tile.coveredCount() + " texels in charts, " + tile.missedCount() + " missed");
}
save(result, out + "/bollard");
