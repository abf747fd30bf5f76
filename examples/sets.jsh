// A set of assets baked with one script: a table says what they are, a failure doesn't stop the rest, and a second run bakes only what has changed.
//   console/estampage examples/sets.jsh set=out/props.csv out=out/props
//   without a set of your own, three harbour bollards are made first; broken=true breaks one of them, to see what becomes of the others
import org.estampage.testresources.Bollard;

var out = arg("out", "out/props");
var size = arg("size", 512);
var triangles = arg("triangles", 60_000);
var set = arg("set", "");

// Three bollards of different fineness, a low poly for each, and the table that names them.
void make(String table, boolean broken) throws IOException {
    var rows = new StringBuilder("asset,low,high,size,rays\n");
    for (var asset : List.of("quay", "pier", "slip")) {
        var shape = Bollard.generate(triangles / (1 + rows.length() % 7));
        var high = smooth(mesh(shape.positions(), shape.triangles()).name(asset));
        save(high, out + "/source/" + asset + "-high.ply");
        save(lathe(high).sides(24).rings(8).capped().size(size), out + "/source/" + asset + "-low.obj");
        rows.append(asset + ",source/" + asset + "-low.obj,source/" + asset + "-high.ply," + size + ",16\n");
    }
    if (broken) {
        Files.writeString(path(out + "/source/pier-low.obj"), "v 0 0\n");
    }
    Files.writeString(path(table), rows);
}

if (set.isEmpty()) {
    set = out + "/props.csv";
    if (!Files.exists(path(set))) {
        make(set, arg("broken", false));
    }
}

// One asset: columns come as what they are to be, a file, a number.
var report = assets(set).each(asset -> {
    var low = load(asset.low());
    var high = load(asset.high());
    var result = bake(low, high).size(asset.whole("size", size)).maps(normal(), occlusion(asset.whole("rays", 64)).reach(0.15)).run();
    save(result, out + "/" + asset);
    return result;
});
save(report, out + "/set.csv");
save(report, out + "/set.json");
