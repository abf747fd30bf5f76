package org.estampage.bake;

import static org.assertj.core.api.Assertions.assertThat;

import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.Optional;
import java.util.Random;
import org.estampage.bvh.Bvh;
import org.estampage.bvh.HemisphereBatch;
import org.estampage.bvh.HemisphereQuery;
import org.estampage.bvh.HemisphereQuery.Distribution;
import org.estampage.bvh.OcclusionPoints;
import org.estampage.cage.Cage;
import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.internal.kernel.Directions;
import org.estampage.internal.kernel.RaySlots;
import org.estampage.maps.CoverageMap;
import org.estampage.maps.CurvatureMap;
import org.estampage.maps.HeightMap;
import org.estampage.maps.NormalMap;
import org.estampage.maps.ObjectNormalMap;
import org.estampage.maps.OcclusionMap;
import org.estampage.maps.PositionMap;
import org.estampage.maps.ThicknessMap;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.CurvatureChecks;
import org.estampage.mesh.CurvatureChecks.TorusFit;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.Normals;
import org.estampage.task.Task;
import org.estampage.testresources.FetchedMeshes;
import org.estampage.testresources.OcclusionScene;
import org.estampage.testresources.OffReader;
import org.estampage.testresources.Shape;
import org.estampage.testresources.ShapeMeasures;
import org.estampage.testresources.Shapes;
import org.junit.jupiter.api.Test;

/** Makes the table of ACCURACY.md, holds every row to its bound, and the file to the rows. */
class AccuracyTableTest {
    private static final Path FILE = Path.of("../docs/ACCURACY.md");
    private static final String WRITE = "accuracy.write";
    private static final String INTRODUCTION = """
            # Accuracy

            What the maps give against values from outside. A test makes this table: it runs every check, holds each error to what is allowed, and fails if
            this file says anything else. Values are the same on every machine, for any number of threads, scalar or vector. This writes it anew:

            ```
            mvn -o test -pl engine/core -am -Dtest=AccuracyTableTest -Dsurefire.failIfNoSpecifiedTests=false -Daccuracy.write=true
            ```

            Rows that name the elephant need the meshes that `test-resources/fetch` fetches; without those they are not checked. "By hand" means derived in
            the code beside the check; the catalogue, Cauchy, Hottel and Steiner are cited from memory. More rays than these rows take, and larger images,
            stand in the tests named `…ReferenceTest`. Other tests hold what is no value of a map: `VectorDirectionsTest` that vector directions have the bits
            of scalar ones, `RayCountTest` that adaptive rays are at most 0.85 of a fixed number with a short reach and 1.15 without, `SharingTest` that shared
            ones are at most 0.4, `RayStartTest` that of a million rays each at × 0.001, 1, 1000 and 1000 away none hits its own triangle or leaves a closed mesh.

            A texel of the normal maps is smooth if the high poly's normals at its middle and its corners lean by no more than 1.5° against their mean.

            """;
    private static final String CATALOGUE = "Howell, A Catalog of Radiation Configuration Factors, 1982; strips: Hottel's crossed strings";

    @Test
    void everyMap_isAsAccurateAsTheTableSays() throws Exception {
        AccuracyTable table = new AccuracyTable();
        List<OcclusionPoints.Case> points = OcclusionPoints.all();
        occlusion(table, points);
        openSides(table);
        recipe(table, points);
        bentNormals(table);
        thickness(table);
        curvature(table);
        normalsAndHeights(table);
        displacedSphere(table);
        tangentSpace(table);
        assertThat(table.rows().stream().filter(row -> !(row.error() <= row.allowed())).map(AccuracyTable.Row::line)).isEmpty();
        String text = table.text(INTRODUCTION);
        if (Boolean.getBoolean(WRITE)) {
            Files.writeString(FILE, text);
        }
        String file = Files.readString(FILE);
        if (FetchedMeshes.elephant().isPresent() && FetchedMeshes.refinedElephant().isPresent()) {
            assertThat(text).as("what the checks give, against the file; -D" + WRITE + "=true writes it anew").isEqualTo(file);
        } else {
            assertThat(AccuracyTable.withoutFetched(text)).isEqualTo(AccuracyTable.withoutFetched(file));
        }
    }

    @Test
    void rowsOfFetchedMeshes_areThoseThatNameThem() {
        AccuracyTable table = new AccuracyTable();
        table.of("map", "source").row("ball", 1, 1, 0).fetched().row("elephant", 2, 2, 0);
        assertThat(table.rows().get(1).fetched()).isTrue();
        assertThat(AccuracyTable.withoutFetched(table.text("above\n"))).hasSize(4).noneMatch(line -> line.contains("elephant"));
    }

    private static void occlusion(AccuracyTable table, List<OcclusionPoints.Case> cases) {
        table.of("occlusion", CATALOGUE + "; grooves, walls and balls by hand");
        for (OcclusionPoints.Case point : cases) {
            // 512 texels of 64 rays: one errs by 0.02 or less, the mean by 9e-4, one standard error; polygons stand for circles.
            table.row(point.name(), point.exact(), point.mean(512, 64), 2.7e-3);
        }
        table.row("cup, mean over the floor", 0.3819660113, OcclusionPoints.meanOfACupsFloor(512, 64), 2.7e-3);
        table.of("occlusion, baked", "OcclusionScene, scene by scene: the catalogue, and by hand; mean over the patch");
        for (OcclusionScene scene : OcclusionScene.all()) {
            BakeReferenceTest.Difference difference = BakeReferenceTest.occlusion(scene, 64);
            table.row(scene.name(), difference.exact(), difference.ours(), 5e-3);
        }
    }

    /** A line that crosses a closed mesh leaves it for good once: the open lines are as many as those that throw its shadow. */
    private static void openSides(AccuracyTable table) throws Exception {
        table.of("occlusion, mean over a closed mesh",
                "Cauchy: 4 · mean silhouette / surface, 1 for convex bodies; silhouettes counted in a grid");
        Mesh ball = BakeReferenceTest.mesh(Shapes.icosphere(1, 4), "ball");
        table.row("ball", 1, SurroundingsReferenceTest.meanOpenness(ball, 10_000, 16), 0);
        Mesh box = BakeReferenceTest.mesh(Shapes.box(1, 2, 3), "box");
        table.row("box", 1, SurroundingsReferenceTest.meanOpenness(box, 10_000, 16), 0);
        openSide(table, "torus", closedTorus());
        if (FetchedMeshes.elephant().isPresent()) {
            openSide(table.fetched(), "elephant",
                    BakeReferenceTest.mesh(OffReader.read(FetchedMeshes.elephant().orElseThrow()), "elephant"));
        }
    }

    private static void openSide(AccuracyTable table, String name, Mesh mesh) {
        // 512 shadows come within 4e-4 of 2048 of them, and so do 640,000 rays of 2.6 million.
        double expected = 4 * Silhouettes.meanArea(mesh, 512) / ShapeMeasures.area(new Shape(mesh.positions(), mesh.positionIndices()));
        table.row(name, expected, SurroundingsReferenceTest.meanOpenness(mesh, 40_000, 16), 1.5e-3);
    }

    /** What the drawing of rays owes. */
    private static void recipe(AccuracyTable table, List<OcclusionPoints.Case> cases) {
        table.of("occlusion, one texel of 64 rays", "measured for scrambled Sobol points on a concentric disk before this was built");
        double squares = 0;
        int points = 0;
        for (OcclusionPoints.Case point : cases.subList(0, 8)) {
            for (double open : point.open(2048, 64)) {
                squares += (open - point.exact()) * (open - point.exact());
                points++;
            }
        }
        table.row("root mean square error over eight points", 0.0193, Math.sqrt(squares / points), 0.05 * 0.0193);
        table.of("occlusion, mean over 131,072 texels of 16 rays", CATALOGUE);
        for (int i : new int[] {0, 3, 4, 5}) {
            OcclusionPoints.Case point = cases.get(i);
            // A texel's rms error is 0.05, that of the mean 1.4e-4.
            table.row(point.name(), point.exact(), point.mean(131_072, 16), 3e-4);
        }
        table.of("occlusion, rays shared out over 4 × 4 samples",
                "bound: 0.6 of the error of as many random rays; wall of height 1, by hand");
        for (int rays : new int[] {16, 64}) {
            double part = slots(rays, false) / slots(rays, true);
            table.atMost("error of " + rays + " rays, as part of that of random ones", part, 0.6);
        }
    }

    /** Returns the rms error of the open share of a texel whose 16 samples lie 0.2 … 0.8 off a wall of height 1. */
    private static double slots(int rays, boolean randomly) {
        Random random = new Random(16);
        RaySlots slots = new RaySlots();
        float[] d = new float[3];
        double squares = 0, exact = 0;
        for (int s = 0; s < 16; s++) {
            double x = 0.2 + 0.6 * (s % 4 + 0.5) / 4;
            exact += (1 + x / Math.sqrt(x * x + 1)) / 2 / 16;
        }
        int texels = 4096;
        for (int texel = 0; texel < texels; texel++) {
            int seed = randomly ? random.nextInt() : Directions.texelSeed(texel & 63, texel >>> 6), open = 0;
            int runs = randomly ? rays : slots.spread(16, rays, seed);
            for (int r = 0; r < runs; r++) {
                int sample = randomly ? random.nextInt(16) : slots.sample(r);
                int first = randomly ? 0 : slots.first(r), count = randomly ? 1 : slots.count(r);
                for (int i = first; i < first + count; i++) {
                    // A point of another sequence each time is as good as random.
                    Directions.about(i, randomly ? random.nextInt() : seed, false, 0, 1, 0, d, 0);
                    double x = 0.2 + 0.6 * (sample % 4 + 0.5) / 4;
                    open += d[0] < 0 && d[1] * x < -d[0] ? 0 : 1;
                }
            }
            squares += ((double) open / rays - exact) * ((double) open / rays - exact);
        }
        return Math.sqrt(squares / texels);
    }

    private static void bentNormals(AccuracyTable table) {
        table.of("bent normal", "by hand: the integral over the open half beside an endless wall");
        OcclusionPoints.Bent cosine = OcclusionPoints.besideWall(Distribution.COSINE, 512, 256);
        OcclusionPoints.Bent uniform = OcclusionPoints.besideWall(Distribution.UNIFORM, 512, 256);
        // 131,072 rays, stratified in 512 nets.
        table.row("cosine, away from the wall", 0.5370292721, cosine.x(), 5e-4).row("cosine, along the wall", 0, cosine.z(), 5e-4)
                .row("cosine, upwards", 0.8435636081, cosine.y(), 5e-4).row("cosine, mean length", 0.7902980407, cosine.length(), 5e-4)
                .row("uniform, away from the wall", 0.7071067812, uniform.x(), 5e-4)
                .row("uniform, upwards", 0.7071067812, uniform.y(), 5e-4);
    }

    private static void thickness(AccuracyTable table) throws Exception {
        table.of("thickness", "by hand: chords of the unit sphere are 2 cos θ long");
        Mesh ball = SurroundingsReferenceTest.ball(5);
        double[][] cases = {{90, 0, 4.0 / 3}, {90, 1, 1}, {30, 1, 1.8660254038}, {30, 0, 1.8692317182}, {45, 1, 1.7071067812},
                {45, 0, 1.7238576251}, {0.01, 0, 2}};
        for (double[] c : cases) {
            ThicknessMap map = ThicknessMap.create(16).cone(c[0]);
            BakeResult result = SurroundingsReferenceTest.bakeBall(ball, c[1] == 1 ? map.uniform() : map);
            table.row("ball, " + (c[0] < 1 ? "one direction" : (c[1] == 1 ? "uniform" : "cosine") + ", within " + (int) c[0] + "°"), c[2],
                    SurroundingsReferenceTest.mean(result, "thickness"), 1e-3); // facets lie up to 2e-4 inside
        }
        table.of("thickness", "by hand: chords of a slab of thickness 1 are 1 / cos θ long");
        // Grazing rays are longest: within 90° the variance has no end, and the mean of many rays comes near slowly.
        table.row("slab, cosine, within 90°", 2, slab(Distribution.COSINE, 90, Float.POSITIVE_INFINITY), 0.02)
                .row("slab, uniform, within 30°", 1.0736441108, slab(Distribution.UNIFORM, 30, Float.POSITIVE_INFINITY), 5e-4)
                .row("slab, cosine, within 30°", 1.0717967697, slab(Distribution.COSINE, 30, Float.POSITIVE_INFINITY), 5e-4);
        table.of("thickness", "by hand: ∫ min(1/c, L) · 2c dc = 2 − 1/L, c from 0 to 1");
        // With an end to the chords their variance has one, too.
        table.row("slab, cosine, within 90°, reach 10", 1.9, slab(Distribution.COSINE, 90, 10), 2e-3);
        table.of("thickness", "Cauchy's mean chord, 4 · volume / surface");
        table.row("torus, mean over its area", meanChord(closedTorus()), SurroundingsReferenceTest.meanThickness(closedTorus(), 40_000, 4),
                0.01 * meanChord(closedTorus()));
        Mesh box = BakeReferenceTest.mesh(Shapes.box(1, 2, 3), "box");
        table.row("box, mean over its area", meanChord(box), SurroundingsReferenceTest.meanThickness(box, 40_000, 4),
                0.01 * meanChord(box));
        Optional<Path> file = FetchedMeshes.elephant();
        if (file.isPresent()) {
            Mesh elephant = BakeReferenceTest.mesh(OffReader.read(file.orElseThrow()), "elephant");
            table.fetched().row("elephant, mean over its area", meanChord(elephant),
                    SurroundingsReferenceTest.meanThickness(elephant, 40_000, 4), 0.01 * meanChord(elephant));
        }
    }

    private static Mesh closedTorus() {
        return BakeReferenceTest.mesh(Shapes.torus(2, 0.5, 96, 48), "torus");
    }

    private static double meanChord(Mesh mesh) {
        Shape shape = new Shape(mesh.positions(), mesh.positionIndices());
        return 4 * ShapeMeasures.volume(shape) / ShapeMeasures.area(shape);
    }

    private static double slab(Distribution distribution, double halfAngle, float reach) {
        float far = 1e6f;
        Mesh floor = Mesh.builder(new float[] {-far, 0, -far, far, 0, -far, 0, 0, far}, new int[] {0, 1, 2}).build();
        HemisphereBatch points = new HemisphereBatch(512);
        for (int i = 0; i < points.capacity(); i++) {
            points.y[i] = 1;
            points.normalY[i] = -1;
            points.seed[i] = Directions.texelSeed(i, 3);
            points.count[i] = 256;
        }
        points.size = points.capacity();
        Bvh.build(floor, Task.silent()).hemispheres(
                new HemisphereQuery(distribution, 256, reach).inside().measured().within(halfAngle), points);
        double sum = 0;
        for (int i = 0; i < points.size; i++) {
            sum += points.distance[i] + (points.open[i] == 0 ? 0 : points.open[i] * (double) reach);
        }
        return sum / points.size / 256;
    }

    private static void curvature(AccuracyTable table) throws Exception {
        table.of("curvature", "closed form 1/R, times R");
        for (double radius : new double[] {1, 1000, 0.001}) {
            Mesh ball = Normals.smooth(CurvatureChecks.mesh(Shapes.icosphere(radius, 4)));
            double worst = 1;
            for (float value : CurvatureChecks.of(ball, 0.1 * radius).values()) {
                worst = Math.abs(value * radius - 1) > Math.abs(worst - 1) ? value * radius : worst;
            }
            table.row("ball of radius " + radius + ", worst vertex", 1, worst, 0.01); // facets 0.07 wide: edges are chords
        }
        Mesh ball = Normals.smooth(CurvatureChecks.mesh(Shapes.icosphere(1, 4)));
        table.row("ball, integral 4πR", 4 * Math.PI, CurvatureChecks.total(ball, CurvatureChecks.of(ball, 0)), 0.02);
        table.of("curvature, baked", "closed form 1/R");
        BakeResult baked = CurvatureMapTest.ball(4, CurvatureMap.create());
        double least = 1, most = 0;
        for (int y = 0; y < 64; y++) {
            for (int x = 0; x < 64; x++) {
                if (baked.hit().get(x, y)) {
                    least = Math.min(least, baked.map("curvature").get(x, y, 0));
                    most = Math.max(most, baked.map("curvature").get(x, y, 0));
                }
            }
        }
        table.row("ball of radius 4, least texel", 0.25, least, 2.5e-3).row("ball of radius 4, largest texel", 0.25, most, 2.5e-3);
        table.of("curvature", "closed forms: tube 1/(2R); torus R = 2, r = ½: (1/r + cos φ/(R + r cos φ))/2");
        Mesh tube = Normals.smooth(CurvatureChecks.mesh(Shapes.torus(200, 0.5, 1000, 48))); // as good as straight
        table.row("tube of radius ½, a vertex", 1, CurvatureChecks.of(tube, 0.1).values()[12], 0.01);
        Mesh torus = Normals.smooth(CurvatureChecks.mesh(Shapes.torus(2, 0.5, 256, 100)));
        float[] values = CurvatureChecks.of(torus, 0).values();
        double outer = 0, inner = 0, farthest = 0, nearest = 9;
        for (int v = 0; v < values.length; v++) {
            double r = Math.sqrt(
                    torus.positions()[3 * v] * torus.positions()[3 * v] + torus.positions()[3 * v + 2] * torus.positions()[3 * v + 2]);
            if (r > farthest) {
                farthest = r;
                outer = values[v];
            }
            if (r < nearest) {
                nearest = r;
                inner = values[v];
            }
        }
        table.row("torus, outer rim", 1.2, outer, 0.012).row("torus, inner rim", 2.0 / 3, inner, 0.0067);
        table.row("torus, relative rms error over two edges", 0, CurvatureChecks.roughTorus(0), 0.01)
                .row("torus with 2 % noise, relative rms error over two edges", 0, CurvatureChecks.roughTorus(0.02), 0.05);
        TorusFit fit = CurvatureChecks.torusFit();
        table.of("curvature", "CGAL 5.5.1, Monge_via_jet_fitting, degree 4, 3 rings: its own worst error")
                .row("torus, worst error of raw values beside the fit's", fit.worstFit(), fit.worstRaw(), 0.009);
        table.of("curvature", "Steiner's formula: the sum of length · angle / 2 over the edges, π(a + b + c)");
        for (double[] side : new double[][] {{1, 1, 1}, {1, 2, 3}}) {
            Mesh box = Normals.hardEdges(CurvatureChecks.mesh(Shapes.box(side[0], side[1], side[2])), 30);
            table.row("box " + (int) side[0] + " × " + (int) side[1] + " × " + (int) side[2], Math.PI * (side[0] + side[1] + side[2]),
                    CurvatureChecks.total(box, CurvatureChecks.of(box, 0)), 1e-5);
        }
        table.of("adjacency", "Gauss–Bonnet: the sum of angle deficits is 2πχ");
        table.row("torus, χ = 0", 0, CurvatureChecks.gaussBonnet(CurvatureChecks.mesh(Shapes.torus(2, 0.5, 40, 20)))[0], 1e-6 * 800);
        table.row("ball, χ = 2", 4 * Math.PI, CurvatureChecks.gaussBonnet(CurvatureChecks.mesh(Shapes.icosphere(1, 3)))[0], 1e-6 * 642);
        if (FetchedMeshes.elephant().isPresent()) {
            Mesh elephant = CurvatureChecks.mesh(OffReader.read(FetchedMeshes.elephant().orElseThrow()));
            table.fetched().row("elephant, χ = −4", -8 * Math.PI, CurvatureChecks.gaussBonnet(elephant)[0], 1e-6 * elephant.vertexCount());
        }
    }

    private static void normalsAndHeights(AccuracyTable table) {
        table.of("normal", "by hand: y = A sin 2πx, A = 0.1; the normal at 0 is (−0.5320180445, 0, 0.8467330160)");
        Mesh wave = Patches.grid(200, 0, (x, z) -> 0.1 * StrictMath.sin(2 * Math.PI * x));
        Mesh high = withNormals(wave, (p, n) -> {
            n[0] = -0.2 * Math.PI * StrictMath.cos(2 * Math.PI * p[0]);
            n[1] = 1;
        });
        // A texel of 1/512 has its middle at x = 0, where its only sample lies: a mean over the texel is a code of 65,536 less steep.
        FloatImage normal = Baker.create().bake(BakeJob.of(Cage.offset(Patches.flat(1, 0), 0.2), high).size(1025, 3).samples(1)
                .maps(NormalMap.create()).build(), Task.silent()).map("normal");
        Encoding codes = normal.encoding();
        int[][] published = {{60, 15335}, {128, 32768}, {235, 60513}};
        for (int c = 0; c < 3; c++) {
            table.row("wave at 0, channel " + c + ", 8 bits", published[c][0], codes.quantise(c, normal.get(512, 1, c), 8), 0);
            table.row("wave at 0, channel " + c + ", 16 bits", published[c][1], codes.quantise(c, normal.get(512, 1, c), 16), 0);
        }
        table.of("object normal", "by hand: (x, √(R² − x² − z²), z)/R");
        Mesh dome = Patches.grid(160, 0, (x, z) -> Math.sqrt(4 - x * x - z * z));
        BakeResult result = Baker.create()
                .bake(BakeJob.of(Cage.offset(Patches.grid(1, 0, (x, z) -> 1.7), 0.5), withNormals(dome, (p, n) -> {
                    for (int k = 0; k < 3; k++) {
                        n[k] = p[k] / 2;
                    }
                })).size(64).samples(1).maps(ObjectNormalMap.create(), PositionMap.create()).build(), Task.silent());
        double worst = 0;
        for (int y = 0; y < 64; y++) {
            for (int x = 0; x < 64; x++) {
                double px = -1 + (x + 0.5) / 32, pz = -1 + (y + 0.5) / 32;
                double[] exact = {px / 2, Math.sqrt(4 - px * px - pz * pz) / 2, pz / 2}, ours = new double[3];
                for (int k = 0; k < 3; k++) {
                    ours[k] = result.map("object-normal").get(x, y, k);
                }
                worst = Math.max(worst, IndependentFrame.degrees(ours, exact));
            }
        }
        table.row("dome of radius 2, largest angle in degrees", 0, worst, 0.01); // facets 0.0125 wide
        table.of("height", "by hand: R(1 − cos(π/n)) between the middle of a facet and the circle");
        double[][] gaps = {{8, 0.0761204675}, {16, 0.0192147196}, {32, 0.0048152733}};
        Mesh tube = band(4096);
        for (double[] gap : gaps) {
            int sides = (int) gap[0];
            BakeResult baked = Baker.create().bake(BakeJob.of(Cage.offset(band(sides), 0.2), tube).size(sides * 21, 3).samples(1)
                    .maps(HeightMap.create()).build(), Task.silent());
            table.row("prism of " + sides + " sides, middle of a facet", gap[1], baked.map("height").get(21 * (sides / 2) + 10, 1, 0),
                    1e-6);
        }
    }

    private interface NormalAt {
        void write(float[] position, double[] dest);
    }

    private static Mesh withNormals(Mesh mesh, NormalAt rule) {
        float[] normals = new float[mesh.positions().length], p = new float[3];
        for (int v = 0; v < mesh.vertexCount(); v++) {
            double[] n = new double[3];
            System.arraycopy(mesh.positions(), 3 * v, p, 0, 3);
            rule.write(p, n);
            double length = Math.sqrt(IndependentFrame.dot(n, n));
            for (int k = 0; k < 3; k++) {
                normals[3 * v + k] = (float) (n[k] / length);
            }
        }
        return mesh.toBuilder().normals(new Attribute("normal", 3, normals, mesh.positionIndices())).build();
    }

    /** The side of a prism inscribed in the unit circle about y, two high, unrolled in its UVs. */
    private static Mesh band(int sides) {
        float[] p = new float[6 * sides], uv = new float[4 * (sides + 1)];
        int[] corners = new int[6 * sides], uvOf = new int[6 * sides];
        for (int i = 0; i <= sides; i++) {
            double angle = 2 * Math.PI * i / sides;
            for (int level = 0; level < 2; level++) {
                if (i < sides) {
                    int v = 3 * (2 * i + level);
                    p[v] = (float) StrictMath.cos(angle);
                    p[v + 1] = 2 * level - 1;
                    p[v + 2] = (float) -StrictMath.sin(angle);
                }
                uv[2 * (2 * i + level)] = (float) i / sides;
                uv[2 * (2 * i + level) + 1] = level;
            }
        }
        for (int i = 0; i < sides; i++) {
            int[] quad = {2 * i, 2 * i + 2, 2 * i + 3, 2 * i, 2 * i + 3, 2 * i + 1};
            for (int k = 0; k < 6; k++) {
                corners[6 * i + k] = quad[k] % (2 * sides);
                uvOf[6 * i + k] = quad[k];
            }
        }
        return Normals.smooth(Mesh.builder(p, corners).uvSet(new Attribute("uv", 2, uv, uvOf)).build());
    }

    private static void displacedSphere(AccuracyTable table) {
        table.of("object normal", "by hand: the exact normal of a star-shaped surface, see DisplacedSphere");
        BakeResult plain = BakeReferenceTest.sphere(128, 60_000, 1, ObjectNormalMap.create(), PositionMap.create(), NormalMap.create(),
                CoverageMap.create(), OcclusionMap.create(16));
        double[] errors = BakeReferenceTest.sphereErrors(plain);
        // Between the bumps it is a ball, where interpolated normals are exact. 60,000 triangles are 0.02 wide.
        table.row("displaced sphere, median angle in degrees", 0, errors[1], 0.05)
                .row("displaced sphere, 95th percentile in degrees", 0, errors[3], 0.15);
        table.of("position", "by hand: the exact radius, see DisplacedSphere").row("displaced sphere, 99th percentile of the radius", 0,
                errors[2], 1e-3);
        for (double scale : new double[] {1000, 0.001}) {
            BakeResult scaled = BakeReferenceTest.sphere(128, 60_000, scale, NormalMap.create(), CoverageMap.create(),
                    OcclusionMap.create(16));
            table.of("normal", "the same scene at another scale; coverage is equal").row(
                    "displaced sphere × " + scale + ", largest angle in degrees", 0, BakeReferenceTest.largestAngle(plain, scaled), 5e-3);
            table.of("occlusion", "the same scene at another scale").row("displaced sphere × " + scale + ", mean over the map",
                    SurroundingsReferenceTest.mean(plain, "occlusion"), SurroundingsReferenceTest.mean(scaled, "occlusion"), 1e-4);
        }
    }

    private static void tangentSpace(AccuracyTable table) throws Exception {
        table.of("normal, 16 bits, smooth texels", "the high poly's own normals, by an independent frame (glTF 2.0; MikkTSpace)");
        angles(table, "shell, half mirrored", TangentSpaceReferenceTest.shellAngles());
        Optional<TangentSpaceReferenceTest.Angles> elephant = TangentSpaceReferenceTest.elephantAngles();
        if (elephant.isPresent()) {
            angles(table.fetched(), "elephant", elephant.orElseThrow());
        }
    }

    private static void angles(AccuracyTable table, String mesh, TangentSpaceReferenceTest.Angles angles) {
        table.row(mesh + ", median in degrees", 0, angles.median(), 0.03).row(mesh + ", 95th percentile", 0, angles.percentile95(), 0.15)
                .row(mesh + ", 4 × 4 samples against 8 × 8, 95th percentile", 0, angles.samples95(), 0.01);
    }
}
