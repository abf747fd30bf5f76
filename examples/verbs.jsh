// Calls every verb there is, on small meshes; what it shows is how each is spelt.
//   console/estampage examples/verbs.jsh out=out/verbs
import org.estampage.testresources.Bollard;

var out = arg("out", "out/verbs");
var size = arg("size", 64);
var reach = arg("reach", 0.5);
var wordy = arg("wordy", false);

// Meshes: from arrays, to files and back.
var shape = Bollard.generate(arg("triangles", 20_000));
var sculpt = mesh(shape.positions(), shape.triangles()).name("bollard");
save(sculpt, out + "/bollard.ply");
save(sculpt, out + "/bollard.obj");
var high = load(out + "/bollard.ply");
IO.println(check(high).size() + " findings");
var same = load(out + "/bollard.obj").unit(1.0).up(Y);

// What scans bring along taken out; this mesh needs nothing.
var clean = cleanUp(high).cards().build();
IO.println(clean.triangleCount() + " triangles after cleaning up");
IO.println(withoutHidden(high).onGround(Y).build().triangleCount() + " triangles seen by who stands around it");
IO.println(lowPoly(high, 500).build());

// A low poly, its normals, and three ways to a cage.
var low = lathe(high).sides(24).rings(6).capped().size(size);
var post = lathe(high).axis(Y).sides(12).heightFractions(0.1, 0.5, 0.9).ends(OPEN, CLOSED).meanRadius().gutterTexels(1).size(size).build();
IO.println(post);
var few = decimate(high, 800).build();
var close = decimate(high).errorFraction(0.002).build();
IO.println(few.triangleCount() + " triangles, or " + close.triangleCount() + " within 0.2 %");
var flat = unwrap(few).size(size).gutterTexels(1).build();
var byAngle = unwrap(low).seamsByAngle(50).gutterTexels(1).size(size, 2 * size).build();
IO.println(flat.findings().ofKind("uv-charts"));
save(uvPicture(flat), out + "/layout.png", bits(8));
IO.println(check(flat, size, size).ofKind("uv-layout"));
var wider = repack(flat).gutterTexels(2).size(size).build();
// A set of props on one image: each is baked on its own, at the atlas' size; a padding of half the gutter leaves the others' places free.
var set = atlas(flat, low).density(1, 0.5).gutterTexels(1).size(2 * size).build();
IO.println(wider.findings().ofKind("uv-packed") + ", " + set.get(1).findings().ofKind("uv-packed"));
for (var level : lods(low, 120, 60)) {
    IO.println(level);
}
var soft = smooth(low);
var hard = hardEdges(low, 40);
var clean = hardAtSeams(low);
var heavy = normalsOf(low).hardAbove(40).hardAtUvBorders().weighted(AREA).build();
var mirrored = heavy.mirrored(X);
IO.println(check(hard).ofKind("hard-edges-without-seam"));
var fitted = cage(low, high);
var offset = cage(low).offset(0.03);
save(low, out + "/low.obj");
save(offset, out + "/cage.obj");
var imported = importedCage(low, load(out + "/cage.obj"));
IO.println(check(low, high).size() + " findings about the pair");
IO.println(check(low, high, fitted).size() + " findings about the cage");
IO.println(check(low, high, fitted, 30).ofKind("steep-cage-rays").size());
save(cagePicture(low, high, offset), out + "/cage.png", bits(8));

// Every map, into files of two depths.
var result = bake(low, high).cage(fitted).size(size).samples(2).padding(8).threads(2)
        .maps(normal(), objectNormal(), height(), occlusion(16).fadingReach(reach), bentNormal(16).reach(reach), thickness(16).cone(45), curvature(), curvature().convex(), position(), ids(), ids().pieces(), coverage(),
                colour(), opacity(), custom("snow", 1, (in, out) -> out[0] = Math.max(0, in.normal(1))).range(0, 1)).run();
save(result, out + "/maps/bollard");
save(result, out + "/maps-8/bollard", bits(8), greenDown());
save(result, out + "/sets/bollard", dithered(), set("iron"), names("{set}/{asset}_{map}"));
save(result, out + "/tiffs/bollard", tiff());
save(bake(low, high).cage(offset).size(32).run(), out + "/tga/bollard", tga());
save(result, out + "/floats/bollard", exr(), floats());
save(result, out + "/floats/bollard-all", layers(), half());
report(result, out + "/bollard.html");
report(result, out + "/small.html", ReportOptions.USUAL.withTexels(32).withHighTriangles(0).withPicture("missed", result.missPicture()));
var even = occlusion(64).error(1 / 32.0);
var effort = bake(low, high).cage(fitted).size(size / 2).edgeSamples(4).maps(even, raysOf(even), errorOf(even)).run();
IO.println(effort.range("occlusion-rays") + " rays, " + effort.range("occlusion-error") + " off at most");
var quick = bake(low, high).cage(offset).size(size, size / 2).depth(0.03).rayBlend(1).filter(TexelFilter.TENT).run();
var shallow = bake(low, high).cage(cage(low).offset(0.001)).size(size).run();
IO.println(shallow.findings().ofKind("missed-outside-cage"));
save(shallow.missPicture(), out + "/misses.png", bits(8));
var tiles = bake(low, high).cage(offset).size(size / 2).udim().run();
save(tiles, out + "/tiles/bollard");
IO.println(tiles.tiles().size() + " tile, " + tiles.tile(1001).map("normal"));
IO.println(bake(low, high).cage(offset).size(size / 2).stacked().copies().run().findings().ofKind("overlapping-uvs").isEmpty());
IO.println(quick.map("normal") + ", height range " + result.range("height"));

// The low poly with its maps in one file.
save(low, result, out + "/bollard.glb");
save(model(result).roughness(result.map("occlusion")).coarser(decimate(low, 100)).texturesBeside().bits(16), out + "/gltf/bollard.gltf");

// What tells of a bake, and bakes it again.
save(manifest(result), out + "/bollard.json");
var told = manifest(out + "/bollard.json");
IO.println(told + ", height " + told.range("height") + ", " + told.differences(result.job()).size() + " changes, low poly " + digest(low).substring(0, 8));
Files.writeString(path(out + "/again.jsh"), told.script());
// The low poly in its maps beside the high poly, and bare, polished and turned.
save(preview(low, result).beside(high).size(96).from(20, 15).run(), out + "/preview.png", bits(8));
save(preview(low).dressed(Dressing.of(result).metal(1).roughness(0.3)).size(64).turntable(3).toList().getLast(), out + "/turned.png", bits(8));
var locked = bake(low, high).cage(offset).size(size / 2).maps(height(), position()).range("height", new Range(-0.5f, 0.5f)).rangesOf(told).run();
IO.println(locked.range("height").equals(result.range("height")));

// How much it looks like the high poly, measured.
var comparison = compare(low, result, high).views(6).size(96).run();
IO.println(comparison.summary());
save(comparison.views().get(comparison.worstView()).picture(), out + "/angles.png", bits(8));

// Images: as stored, as normals, as colours.
var stored = image(out + "/maps/bollard-normal.png");
var decoded = normalImage(out + "/maps/bollard-normal.png");
var colours = colourImage(out + "/maps/bollard-occlusion.png");
save(decoded, out + "/again.png", bits(8));
var smaller = mips(result.map("normal")).unitLength().downTo(8).build();
save(smaller.getLast(), out + "/from-afar.png", bits(8));
IO.println(Files.exists(path(out + "/again.png")));


// Images combined: normals over normals, tiles, channels.
var grain = layNormals(result.map("normal"), tile(decoded, 4, 4).rotate(30).offset(0.5, 0).vary(1, 90, 1)).detailStrength(0.5).method(NormalMethod.SLOPES_ADDED);
save(grain, out + "/grain.png", bits(8));
IO.println(check(grain).size() + " findings about normals, " + grain.findings().size() + " about both sides");
var open = result.map("occlusion");
var packed = packChannels(open, result.map("coverage"), tile(open, 2, 2).size(size, size));
save(packed, out + "/packed.png", bits(8));
save(packChannels(open, open, open, open), out + "/packed-4.png");
save(ChannelPack.occlusionRoughnessMetal(open, open, open), out + "/by-content.png");
var rusty = LayerMaterial.of(triplanar(result.map("colour"), 0.2, result.map("position"), result.map("object-normal")).sharpness(8), tile(open, 3, 3), 0);
var finish = layers(result.map("normal"), LayerMaterial.even(0.2, 0.2, 0.2, 0.5, 1)).add(rusty, SurfaceMask.hidden(open).levels(0.2, 0.5), 0.5)
        .occlusion(open).build();
save(finish.baseColour(), out + "/base-colour.png", bits(8));
IO.println(roughnessMips(finish.normal(), finish.roughness()).build().size() + " levels of roughness");

// Pictures of values: in the terminal, or as files.
show(result);
show(uvPicture(low));
// Sets: pairs of a folder, or rows of a table, whose columns come as numbers and files. What is finished and unchanged is passed over.
save(low, out + "/props/post-low.obj");
save(high, out + "/props/post-high.ply");
Files.writeString(path(out + "/props.csv"), "asset,low,high,size\npost,props/post-low.obj,props/post-high.ply,32\n");
var became = assets(out + "/props.csv").again().each(asset -> bake(load(asset.low()), load(asset.high())).size(asset.whole("size")).run());
save(became, out + "/props.json");

// Bakes again whenever the sculpt is saved anew; it would wait for Ctrl-C, so it is only written down here.
void again() throws IOException {
    watch(out + "/bollard.ply", () -> save(bake(low, load(out + "/bollard.ply")).size(size).run(), out + "/again/bollard"));
}

// What takes long is kept in a folder, from run to run.
IO.println(cache().folder(out + "/kept").limit(0.5).clear());
cache().off();

if (result.missedCount() > 1000) {
    fail("the cage is too tight");
}

if (wordy) {
    trace();
    help();
    help("bake");
}
