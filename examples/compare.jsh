// Bakes a small bollard, measures how much it looks like its sculpt, and fails if it looks less like it than it may: a gate for an unattended build.
//   console/estampage examples/compare.jsh error=7.5 size=512 triangles=60000 out=out
// sides is how many the low poly has around, pixels how large each of the 24 views is.
// error is the most that comparison.error() may be, in degrees; the exit code says whether it was kept.
import org.estampage.testresources.Bollard;

var most = arg("error", 7.5);
var size = arg("size", 512);
var triangles = arg("triangles", 60_000);
var sides = arg("sides", 48);
var pixels = arg("pixels", 256);
var out = arg("out", "out");

// A harbour museum's cast-iron bollard, generated, and a low poly turned around it.
var shape = Bollard.generate(triangles);
var high = smooth(mesh(shape.positions(), shape.triangles()).name("bollard"));
var low = lathe(high).sides(sides).rings(12).capped().size(size).build();
var result = bake(low, high).size(size).maps(normal(), occlusion(32)).run();

// What was gained, from 24 sides: the low poly in its maps, and what it would be otherwise.
var comparison = compare(low, result, high).size(pixels).run();
IO.println(comparison.summary());
var bare = compare(low, result, high).dressed(Dressing.bare()).size(pixels).run();
// Green the other way up, the classic mistake of a delivery, must be seen at once.
save(result, out + "/turned", greenDown());
var turned = compare(low, result, high).dressed(Dressing.bare().normal(normalImage(out + "/turned-normal.png"))).size(pixels).run();
IO.println(String.format(Locale.ROOT, "bare it would be %.2f° on average, %.2f° median; with green turned %.2f°, %.2f°",
        bare.error(), bare.median(), turned.error(), turned.median()));

// To look at: both side by side, the angles from all sides, the angles over the texels.
save(preview(low, result).beside(high).size(384).run(), out + "/preview.png", bits(8));
save(comparison.picture(), out + "/angles.png", bits(8));
save(comparison.texelPicture(), out + "/angles-by-texel.png", bits(8));

if (comparison.error() > most) {
    fail(String.format(Locale.ROOT, "the error is %.2f°, may be %.2f°: look at %s/angles.png", comparison.error(), most, out));
}
