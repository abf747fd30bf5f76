// Bakes open elevation data (344 x 403 heights) onto a planar grid. The data comes with test-resources/fetch.
//   console/estampage examples/terrain.jsh size=1024 out=out/terrain
import org.estampage.testresources.Npy;

var data = arg("data", "test-resources/fetched/jacksboro_fault_dem.npz");
if (!Files.exists(path(data))) {
    throw new IllegalArgumentException(data + " does not exist; run test-resources/fetch, or name the file with data=");
}
var heights = Npy.readArchive(path(data)).get("elevation");
int rows = heights.shape()[0], columns = heights.shape()[1];
// Degrees of latitude and longitude are close enough to metres here: about 90 m between posts, heights in metres.
float spacing = 90;
var p = new float[3 * rows * columns];
for (int r = 0; r < rows; r++) {
    for (int k = 0; k < columns; k++) {
        int v = r * columns + k;
        p[3 * v] = (k - (columns - 1) / 2f) * spacing;
        p[3 * v + 1] = (float) heights.values()[v];
        p[3 * v + 2] = (r - (rows - 1) / 2f) * spacing;
    }
}
// The first row lies in the north, which is -z here; rows run south.
var t = new int[6 * (rows - 1) * (columns - 1)];
int n = 0;
for (int r = 0; r + 1 < rows; r++) {
    for (int k = 0; k + 1 < columns; k++) {
        int a = r * columns + k, b = a + columns;
        for (int v : new int[] {a, b, b + 1, a, b + 1, a + 1}) {
            t[n++] = v;
        }
    }
}
var high = mesh(p, t).name("terrain").build();
IO.println(high);

// A planar grid at the mean height, laid out as it is seen from above, with a border.
int cells = arg("cells", 8);
float mean = (high.bounds().minY() + high.bounds().maxY()) / 2, margin = 1 / 64f;
var q = new float[3 * (cells + 1) * (cells + 1)];
var uv = new float[2 * (cells + 1) * (cells + 1)];
for (int j = 0; j <= cells; j++) {
    for (int i = 0; i <= cells; i++) {
        int v = j * (cells + 1) + i;
        float x = (float) i / cells, z = (float) j / cells;
        q[3 * v] = high.bounds().minX() + x * (high.bounds().maxX() - high.bounds().minX());
        q[3 * v + 1] = mean;
        q[3 * v + 2] = high.bounds().maxZ() - z * (high.bounds().maxZ() - high.bounds().minZ());
        uv[2 * v] = margin + x * (1 - 2 * margin);
        uv[2 * v + 1] = margin + z * (1 - 2 * margin);
    }
}
var f = new int[6 * cells * cells];
int m = 0;
for (int j = 0; j < cells; j++) {
    for (int i = 0; i < cells; i++) {
        int a = j * (cells + 1) + i, b = a + cells + 1;
        for (int v : new int[] {a, a + 1, b + 1, a, b + 1, b}) {
            f[m++] = v;
        }
    }
}
var low = mesh(q, f).name("terrain-low").uvSet(new Attribute("map", 2, uv, f)).build();

// A plane's cage is another plane: above the highest peak, reaching below the deepest valley.
double rise = (high.bounds().maxY() - high.bounds().minY()) / 2;
var result = bake(low, high).cage(cage(low).offset(1.01 * rise)).size(arg("size", 1024)).samples(2)
        .maps(normal(), objectNormal(), height(), occlusion(arg("rays", 64)), position(), coverage()).run();
IO.println(result.summary());
for (var file : save(result, arg("out", "out/terrain"))) {
    IO.println("  " + file);
}
