// From a bake to a finished material: pitted iron, paint that is worn on edges, rust in hollows. All inputs are generated.
//   console/estampage examples/material.jsh size=1024 triangles=1000000 out=out/material
import org.estampage.testresources.Bollard;
import org.estampage.testresources.Surfaces;

var size = arg("size", 512);
var out = arg("out", "out/material");

// The sculpt, a low poly, and the maps that a material asks for: where texels lie, how they are turned, how hidden and how sharp.
var shape = Bollard.generate(arg("triangles", 400_000));
var high = smooth(mesh(shape.positions(), shape.triangles()).name("bollard"));
var low = lathe(high).sides(48).rings(16).capped().size(size).build();
// The low poly's own frame, with which projected normals come into tangent space.
var tangents = custom("tangent", 3, (in, dest) -> { for (int a = 0; a < 3; a++) dest[a] = in.lowTangent(a); }).kind(Encoding.Kind.NORMAL);
var bitangents = custom("bitangent", 3, (in, dest) -> { for (int a = 0; a < 3; a++) dest[a] = in.lowBitangent(a); }).kind(Encoding.Kind.NORMAL);
var lowNormals = custom("low-normal", 3, (in, dest) -> { for (int a = 0; a < 3; a++) dest[a] = in.lowNormal(a); }).kind(Encoding.Kind.NORMAL);
var result = bake(low, high).cage(cage(low, high)).size(size).samples(2)
        .maps(normal(), objectNormal(), position(), occlusion(arg("rays", 64)).reach(0.15), curvature().over(0.006), tangents, bitangents, lowNormals).run();
IO.println(result.summary());
var where = result.map("position");
var facing = result.map("object-normal");
var bumps = result.map("curvature");
var open = result.map("occlusion");

// Tiling inputs: raw arrays of linear colour, roughness, and normals made of heights.
FloatImage filled(int side, Encoding encoding, float[] values) {
    var image = FloatImage.create(side, side, encoding);
    image.write(0, 0, side, side, values);
    return image;
}
// Projects a tiling surface onto the bollard, tiles of some metres wide.
LayerMaterial projected(Surfaces surface, double metres, double metal) {
    var side = surface.size();
    var roughness = Encoding.data(Range.UNIT, 1);
    return LayerMaterial.of(triplanar(filled(side, Encoding.colour(3), surface.colour()), metres, where, facing),
                    triplanar(filled(side, roughness, surface.roughness()), metres, where, facing),
                    metal)
            .withNormal(triplanar(filled(side, Encoding.normal(), surface.normals()), metres, where, result.map("low-normal"))
                    .inTangentSpace(result.map("tangent"), result.map("bitangent")));
}
var side = arg("tile", 512);
var iron = projected(Surfaces.castIron(side), 0.22, 1);
var paint = projected(Surfaces.paint(side), 0.30, 0);
var rust = projected(Surfaces.rust(side), 0.16, 0);
var polished = LayerMaterial.even(0.33, 0.32, 0.30, 0.36, 1);

// Paint is gone where the surface is convex, more in some places than in others, and in chips.
var patchy = SurfaceMask.clouds(where, 0.09, 4, 1);
var fine = SurfaceMask.clouds(where, 0.012, 4, 2);
var edges = SurfaceMask.convex(bumps).plus(fine, 0.5).plus(patchy, 0.5);
var worn = edges.levels(0.95, 1.1);
var chips = patchy.times(0.7).plus(fine, 0.3).levels(0.62, 0.65);
var foot = SurfaceMask.along(where, 0, 1, 0).levels(0.12, 0).times(fine).levels(0.35, 0.55);
var bare = worn.or(chips).or(foot);
// Rust sits in what is hidden and hollow, eats around what is bare, and spares what hands rub.
var hollows = SurfaceMask.hidden(open).plus(SurfaceMask.concave(bumps), 0.5).plus(fine, 0.4);
var rusty = hollows.levels(0.42, 0.72).eased();
var crust = bare.times(edges.levels(1.2, 0.9)).times(fine.levels(0.35, 0.5));
var rubbed = edges.levels(1.3, 1.6);

var finish = layers(result.map("normal"), iron)
        .add(polished, rubbed, 0.5)
        .add(paint, bare.invert(), 0.8)
        .add(rust, rusty.or(crust).times(0.95), 0.7)
        .occlusion(open).build();
save(finish.baseColour(), out + "/bollard-base-colour.png", bits(8));
save(finish.normal(), out + "/bollard-normal.png");
save(finish.occlusionRoughnessMetal(), out + "/bollard-occlusion-roughness-metal.png", bits(8));
save(low, out + "/bollard-low.obj");
