// Bakes your own meshes without a line of script:
//   console/estampage examples/bake.jsh high=sculpt.ply low=game.obj out=maps/thing
//   further: cage=cage.obj or offset=0.02 (else a cage is fitted), size=2048 samples=2 rays=64 bits=16 up=Z unit=0.01
var highPath = arg("high", "");
var lowPath = arg("low", "");
if (highPath.isEmpty() || lowPath.isEmpty()) {
    throw new IllegalArgumentException("name both meshes: high=sculpt.ply low=game.obj out=maps/thing");
}
var unit = arg("unit", 1.0);
var up = Axis.valueOf(arg("up", "Y").toUpperCase());
var high = load(highPath).unit(unit).up(up);
var low = load(lowPath).unit(unit).up(up);
IO.println(high);
IO.println(low);
IO.println(check(low));

var cagePath = arg("cage", "");
var offset = arg("offset", 0.0);
var c = !cagePath.isEmpty() ? importedCage(low, load(cagePath).unit(unit).up(up)) : offset > 0 ? cage(low).offset(offset) : cage(low, high).build();
IO.println(c);

var result = bake(low, high).cage(c).size(arg("size", 2048)).samples(arg("samples", 2))
        .maps(normal(), objectNormal(), height(), occlusion(arg("rays", 64)), position(), coverage()).run();
IO.println(result.summary());
var depth = arg("bits", 0);
var files = depth == 0 ? save(result, arg("out", "maps/bake")) : save(result, arg("out", "maps/bake"), bits(depth));
for (var file : files) {
    IO.println("  " + file);
}
