// Several high polys for one low poly: the bollard, and a mooring ring that was modelled apart from it. Rays see both, and each says which it was.
//   console/estampage examples/many.jsh size=512 triangles=200000 out=out/many
import org.estampage.testresources.Bollard;
import org.estampage.testresources.Shapes;

var size = arg("size", 512);
var out = arg("out", "out/many");
var shape = Bollard.generate(arg("triangles", 200_000));
var bollard = smooth(mesh(shape.positions(), shape.triangles()).name("bollard"));
var torus = Shapes.torus(0.3, 0.02, 256, 32); // around the foot, on the ground
var ring = smooth(mesh(torus.positions(), torus.triangles()).name("ring"));

// The cage of the bollard alone would cut the ring: it is given room for both.
var low = lathe(bollard).sides(32).rings(10).capped().size(size);
// Black where it was the bollard, white where it was the ring.
var which = custom("which", 1, (in, dest) -> dest[0] = in.highMesh()).kind(Encoding.Kind.ID).version("1");
var result = bake(low, bollard, ring).cage(cage(low).offset(0.08)).size(size).maps(normal(), height(), which).run();
IO.println(result.summary());

var texels = new int[2];
for (int y = 0; y < size; y++) {
    for (int x = 0; x < size; x++) {
        if (result.hit().get(x, y)) {
            texels[(int) result.map("which").get(x, y, 0)]++;
        }
    }
}
IO.println(texels[0] + " texels show the bollard, " + texels[1] + " the ring");
save(result, out + "/bollard");
