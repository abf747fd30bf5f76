// From an open scan (a rabbit of 69,451 triangles with holes, in metres) to a low poly with its maps. The scan comes with test-resources/fetch.
//   console/estampage examples/scan.jsh size=1024 out=out/scan
var data = arg("data", "test-resources/fetched/bunny.stl");
var high = load(data).up(Axis.valueOf(arg("up", "Z")));
IO.println(high);
IO.println(check(high));

var low = unwrap(lowPoly(high, arg("triangles", 3000))).size(arg("size", 1024)).build();
IO.println(low);
IO.println(low.findings());
var c = cage(low, high).build();
IO.println(c);
IO.println(c.findings());

var result = bake(low, high).cage(c).size(arg("size", 1024)).samples(2)
        .maps(normal(), objectNormal(), height(), occlusion(arg("rays", 64)), coverage()).run();
IO.println(result.summary());
var out = arg("out", "out/scan");
save(low, out + "-low.obj");
for (var file : save(result, out)) {
    IO.println("  " + file);
}
