package org.estampage.preview;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.assertj.core.api.Assertions.within;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.concurrent.CancellationException;
import java.util.concurrent.ForkJoinPool;
import java.util.stream.Stream;
import org.estampage.bake.BakeJob;
import org.estampage.bake.BakeResult;
import org.estampage.bake.Baker;
import org.estampage.bvh.Bvh;
import org.estampage.cage.Cage;
import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.image.Range;
import org.estampage.maps.NormalMap;
import org.estampage.material.Finish;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Axis;
import org.estampage.mesh.InvalidMeshException;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.Normals;
import org.estampage.raster.UvTile;
import org.estampage.task.Cancellation;
import org.estampage.task.MemoryBudget;
import org.estampage.task.Progress;
import org.estampage.task.Task;
import org.estampage.testresources.Shapes;
import org.junit.jupiter.api.Test;

class PreviewTest {
    private static float[] floats(FloatImage image) {
        return image.read(0, 0, image.width(), image.height(), new float[image.width() * image.height() * image.channels()]);
    }

    /** Returns the largest difference between two pictures. */
    private static double largestDifference(FloatImage a, FloatImage b) {
        float[] x = floats(a), y = floats(b);
        double largest = 0;
        for (int i = 0; i < x.length; i++) {
            largest = Math.max(largest, Math.abs(x[i] - y[i]));
        }
        return largest;
    }

    /** Returns the cosine between the normal of the unit sphere at the origin and the ray back to the eye, at distance 5, −1 where the ray misses. */
    private static double cosine(int x, int y, int size) {
        double half = Math.tan(Math.toRadians(15)), px = half * (2 * (x + 0.5) / size - 1), py = half * (1 - 2 * (y + 0.5) / size);
        double length = Math.sqrt(px * px + py * py + 1), b = 5 / length, c = 24;
        return b * b < c ? -1 : Math.sqrt(b * b - c);
    }

    private static Preview sphereFrom5(Mesh sphere) {
        return Preview.of(sphere).from(0, 0).fieldOfView(30).distance(5).size(64).samples(1);
    }

    @Test
    void mattSphere_underAUniformSky_hasTheClosedFormsRadiance() {
        Dressing matt = Dressing.bare().baseColour(0.3, 0.5, 0.1).roughness(1.0);
        FloatImage picture = sphereFrom5(Cards.sphere(200)).dressed(matt).skyRays(0).lights(Cards.sky(0.5, 0)).run(Task.silent());
        int seen = 0;
        for (int y = 0; y < 64; y++) {
            for (int x = 0; x < 64; x++) {
                double nv = cosine(x, y, 64);
                if (nv > 0.1) {
                    seen++;
                    // What is not mirrored is sent on by the base colour, the mirrored share itself is white; under the sky's 0.5.
                    double mirrored = 0.04 * MirroredShare.scale(nv, 1) + MirroredShare.bias(nv, 1);
                    // Flat faces turn normals and cosines by up to half a degree's worth.
                    assertThat(picture.get(x, y, 0)).isCloseTo((float) (0.5 * (0.3 * (1 - mirrored) + mirrored)), within(2e-3f));
                    assertThat(picture.get(x, y, 1)).isCloseTo((float) (0.5 * (0.5 * (1 - mirrored) + mirrored)), within(2e-3f));
                }
            }
        }
        assertThat(seen).isGreaterThan(1000);
    }

    @Test
    void whiteSphere_underAUniformSky_isNowhereBrighterThanTheSky() {
        for (double roughness : new double[] {0, 0.3, 0.6, 1}) {
            for (double metal : new double[] {0, 1}) {
                Dressing white = Dressing.bare().baseColour(1, 1, 1).roughness(roughness).metal(metal);
                FloatImage picture = sphereFrom5(Cards.sphere(64)).dressed(white).skyRays(0).lights(Cards.sky(0.5, 0)).run(Task.silent());
                for (int x = 16; x < 48; x++) {
                    // Matt white gives all back; metal loses what its facets send to one another.
                    assertThat(picture.get(x, 32, 0)).isLessThanOrEqualTo(0.5f + 1e-4f).isGreaterThan(metal == 0 ? 0.4999f : 0.15f);
                }
            }
        }
    }

    @Test
    void convexSphere_bySkyRays_isOpenEverywhere() {
        Preview preview = sphereFrom5(Cards.sphere(200)).lights(Cards.sky(0.5, 0.2));
        FloatImage open = preview.skyRays(0).run(Task.silent()), traced = preview.skyRays(16).run(Task.silent());
        for (int y = 0; y < 64; y++) {
            for (int x = 0; x < 64; x++) {
                if (cosine(x, y, 64) > 0.1) {
                    assertThat(traced.get(x, y, 0)).isCloseTo(open.get(x, y, 0), within(1e-6f));
                }
            }
        }
    }

    @Test
    void outline_ofASphere_isTheAnalyticDisc() {
        int size = 256;
        FloatImage picture = sphereFrom5(Cards.sphere(600)).size(size).samples(4).lights(Cards.sky(5, 0)).run(Task.silent());
        // The cone around a sphere: tan = r / √(D² − r²), against the half picture's tan 15°.
        double radius = 0.5 * size / Math.sqrt(24) / Math.tan(Math.toRadians(15));
        double area = 0;
        for (int y = 0; y < size; y++) {
            for (int x = 0; x < size; x++) {
                double away = Math.hypot(x + 0.5 - size / 2.0, y + 0.5 - size / 2.0);
                float value = picture.get(x, y, 0);
                area += value > 0.5 ? 1 : 0;
                // The tent reaches one pixel, and its corners √2.
                assertThat(value > 0.2 || away > radius - 1.5).as("inside at %d, %d", x, y).isTrue();
                assertThat(value < 0.2 || away < radius + 1.5).as("outside at %d, %d", x, y).isTrue();
            }
        }
        // Half covered pixels are taken by their middle: the disc's area within a quarter pixel of its rim.
        assertThat(Math.sqrt(area / Math.PI)).isCloseTo(radius, within(0.25));
    }

    @Test
    void coarseSphere_underTheKeyLight_hasNoDarkFacesWhereItLooksRound() {
        Lights key = Cards.key(new Vector(-1, 0.8, 0.7), 0.8);
        // Sixteen sides: faces lean by 11° against their corners' normals, and shade themselves where rays leave them as they are.
        FloatImage fine = sphereFrom5(Cards.sphere(400)).skyRays(0).lights(key).run(Task.silent());
        FloatImage coarse = sphereFrom5(Cards.sphere(32)).skyRays(0).lights(key).run(Task.silent());
        Vector light = new Vector(-1, 0.8, 0.7).unit();
        for (int y = 0; y < 64; y++) {
            for (int x = 0; x < 64; x++) {
                if (cosine(x, y, 64) > 0.3) {
                    // Where the light is nearly grazing, both are nearly dark; a self-shadowed face would be off by its whole brightness.
                    assertThat(coarse.get(x, y, 0)).as("%d, %d towards %s", x, y, light).isCloseTo(fine.get(x, y, 0), within(0.02f));
                }
            }
        }
    }

    @Test
    void card_withATiltedNormalMap_shadesAsTheTiltedCard() {
        double tilt = Math.toRadians(25);
        Mesh card = Cards.card();
        Attribute leaning = new Attribute("normals", 3, new float[] {(float) Math.sin(tilt), 0, (float) Math.cos(tilt)},
                new int[card.positionIndices().length]);
        Mesh tilted = card.toBuilder().normals(leaning).build();
        Dressing map = Dressing.bare().normal(Cards.normals(8, Math.sin(tilt), 0, Math.cos(tilt)));
        FloatImage byMap = Preview.of(card).dressed(map).from(10, 20).size(64).skyRays(0).run(Task.silent());
        FloatImage byNormals = Preview.of(tilted).from(10, 20).size(64).skyRays(0).run(Task.silent());
        // Shadow rays start a little further out over leaning corner normals, but nothing shades a card.
        assertThat(largestDifference(byMap, byNormals)).isLessThan(1e-5);
        FloatImage flat = Preview.of(card).from(10, 20).size(64).skyRays(0).run(Task.silent());
        assertThat(largestDifference(byMap, flat)).isGreaterThan(0.05);
    }

    @Test
    void mirroredShell_inItsMap_shadesAsItsHighPoly() {
        Cards.Height bumps = (x, y) -> 0.25 * (1 - x * x) - 0.1 * y * y + 0.02 * Math.cos(6 * x + 1) * Math.cos(5 * y);
        Mesh low = Cards.grid(16, true, (x, y) -> 0.25 * (1 - x * x) - 0.1 * y * y), high = Cards.grid(200, false, bumps);
        BakeResult result = Baker.create()
                .bake(BakeJob.of(Cage.offset(low, 0.1), high).size(256).samples(2).maps(NormalMap.create()).build(), Task.silent());
        Preview preview = Preview.of(low).dressed(result).beside(high).from(0, 0).size(96).skyRays(0).light(-60, 20);
        double dressed = meanDifference(preview.run(Task.silent())),
                bare = meanDifference(preview.dressed(Dressing.bare()).run(Task.silent())),
                wrong = meanDifference(
                        Preview.of(low).dressed(Dressing.bare().normal(greenTurned(result.map("normal")))).beside(high).from(0, 0).size(96)
                                .skyRays(0).light(-60, 20).run(Task.silent()));
        assertThat(bare).isEqualTo(dressed); // the last mesh was dressed anew, which is the high poly
        assertThat(dressed).as("wrong %f", wrong).isLessThan(0.004);
        assertThat(wrong).isGreaterThan(3 * dressed);
    }

    private static FloatImage greenTurned(FloatImage normals) {
        FloatImage turned = FloatImage.create(normals.width(), normals.height(), normals.encoding());
        float[] all = floats(normals);
        for (int i = 1; i < all.length; i += 3) {
            all[i] = -all[i];
        }
        turned.write(0, 0, normals.width(), normals.height(), all);
        return turned;
    }

    /** Returns the mean difference between the two halves of a picture. */
    private static double meanDifference(FloatImage picture) {
        int half = picture.width() / 2;
        double sum = 0;
        for (int y = 0; y < picture.height(); y++) {
            for (int x = 0; x < half; x++) {
                sum += Math.abs(picture.get(x, y, 0) - picture.get(half + x, y, 0));
            }
        }
        return sum / (half * picture.height());
    }

    @Test
    void images_areSeenWhereTheirUvsSay_andPackedChannelsCountAsSuch() {
        FloatImage colour = FloatImage.create(4, 4, Encoding.colour(3)), packed = FloatImage.create(2, 2, Encoding.data(Range.UNIT, 3));
        colour.fill(0.5f, 0, 0);
        for (int y = 0; y < 4; y++) {
            colour.set(3, y, 0, 0);
            colour.set(3, y, 2, 0.5f); // rightmost blue
        }
        packed.fill(0, 1, 0); // nothing of the sky comes in
        Dressing dressing = Dressing.bare().baseColour(colour);
        FloatImage picture = Preview.of(Cards.card()).dressed(dressing).from(0, 0).size(64).samples(1).skyRays(0)
                .lights(Cards.sky(0.5, 0)).run(Task.silent());
        assertThat(picture.get(20, 32, 0)).isGreaterThan(2 * picture.get(20, 32, 2));
        assertThat(picture.get(58, 32, 2)).isGreaterThan(2 * picture.get(58, 32, 0));
        FloatImage dark = Preview.of(Cards.card()).dressed(dressing.occlusionRoughnessMetal(packed)).from(0, 0).size(64)
                .lights(Cards.sky(0.5, 0)).run(Task.silent());
        assertThat(dark.get(32, 32, 0)).isZero();
    }

    @Test
    void finish_isWornWhole() {
        FloatImage colour = FloatImage.create(2, 2, Encoding.colour(3)), scalar = FloatImage.create(2, 2, Encoding.data(Range.UNIT, 1)),
                normal = FloatImage.create(2, 2, Encoding.normal());
        colour.fill(0.6f, 0.3f, 0.1f);
        scalar.fill(0.75f);
        normal.fill(0.6f, 0, 0.8f);
        Dressing single = Dressing.bare().baseColour(colour).normal(normal).roughness(scalar).metal(scalar).occlusion(scalar);
        FloatImage whole = pictureOf(Dressing.of(new Finish(colour, scalar, scalar, normal, scalar, scalar)));
        assertThat(pixels(whole)).isEqualTo(pixels(pictureOf(single))).isNotEqualTo(pixels(pictureOf(Dressing.bare())));
    }

    private static FloatImage pictureOf(Dressing dressing) {
        return Preview.of(Cards.card()).dressed(dressing).from(10, 20).size(32).samples(1).run(Task.silent());
    }

    private static float[] pixels(FloatImage image) {
        float[] pixels = new float[image.width() * image.height() * image.channels()];
        image.read(0, 0, image.width(), image.height(), pixels);
        return pixels;
    }

    @Test
    void keptTracers_areAskedFor_onlyForMeshesWithoutOne() {
        Mesh card = Cards.card(), sphere = Cards.sphere(50);
        List<Mesh> asked = new ArrayList<>();
        Preview preview = Preview.of(card).beside(sphere).tracer(Bvh.build(sphere, Task.silent())).size(32).samples(1);
        float[] without = pixels(preview.run(Task.silent()));
        preview.tracers(mesh -> {
            asked.add(mesh);
            return Bvh.build(mesh, Task.silent());
        });
        assertThat(pixels(preview.run(Task.silent()))).isEqualTo(without);
        assertThat(asked).containsExactly(card);
    }

    @Test
    void tiles_wearTheirOwnImages() {
        Mesh card = Cards.card();
        Attribute uv = card.uvSets().get(0);
        float[] wide = uv.values().clone();
        for (int i = 0; i < wide.length; i += 2) {
            wide[i] *= 2; // the right half lies on tile 1002
        }
        Mesh two = card.toBuilder().noUvSets().uvSet(new Attribute("uv", 2, wide, uv.indices())).build();
        FloatImage red = FloatImage.create(2, 2, Encoding.colour(3)), blue = FloatImage.create(2, 2, Encoding.colour(3));
        red.fill(0.5f, 0, 0);
        blue.fill(0, 0, 0.5f);
        Dressing dressing = Dressing.bare().baseColour(red).baseColour(new UvTile(1, 0), blue);
        FloatImage picture = Preview.of(two).dressed(dressing).from(0, 0).size(64).samples(1).run(Task.silent());
        assertThat(picture.get(16, 32, 0)).isGreaterThan(2 * picture.get(16, 32, 2));
        assertThat(picture.get(48, 32, 2)).isGreaterThan(2 * picture.get(48, 32, 0));
    }

    @Test
    void vertexColours_areTheBaseColour_whereAskedFor() {
        Mesh card = Cards.card();
        Mesh green = card.toBuilder().colourSet(new Attribute("paint", 3, new float[] {0, 0.6f, 0}, new int[card.positionIndices().length]))
                .build();
        FloatImage picture = Preview.of(green).dressed(Dressing.bare().vertexColours()).beside(green).from(0, 0).size(32)
                .run(Task.silent());
        assertThat(picture.get(16, 16, 1)).isGreaterThan(3 * picture.get(16, 16, 0));
        assertThat(picture.get(48, 16, 1)).isEqualTo(picture.get(48, 16, 0));
    }

    @Test
    void picture_isTheSame_forAnyNumberOfThreads_andAGivenTracer() throws Exception {
        Mesh torus = Normals.smooth(Cards.mesh(Shapes.torus(1, 0.4, 40, 20), "torus"));
        Preview preview = Preview.of(torus).size(70, 50).samples(2);
        FloatImage one, three;
        try (ForkJoinPool single = new ForkJoinPool(1); ForkJoinPool several = new ForkJoinPool(3)) {
            one = single.submit(() -> preview.run(Task.silent())).get();
            three = several.submit(() -> preview.run(Task.silent())).get();
        }
        FloatImage given = preview.tracer(Bvh.build(torus, Task.silent())).run(Task.silent());
        assertThat(Arrays.equals(floats(one), floats(three))).isTrue();
        assertThat(Arrays.equals(floats(one), floats(given))).isTrue();
    }

    @Test
    void framing_fillsThePicture_fromEverySide_andWhereverTheMeshIs() {
        Mesh box = Normals.hardEdges(Cards.mesh(Shapes.box(0.5, 3, 1), "box"), 40);
        for (double azimuth : new double[] {0, 50, 170}) {
            for (double elevation : new double[] {-90, -20, 0, 60, 90}) {
                FloatImage picture = Preview.of(box).from(azimuth, elevation).size(80, 60).samples(1).lights(Cards.sky(5, 0))
                        .run(Task.silent());
                int[] seen = {80, -1, 60, -1};
                for (int y = 0; y < 60; y++) {
                    for (int x = 0; x < 80; x++) {
                        if (picture.get(x, y, 0) > 0.3) {
                            seen = new int[] {Math.min(seen[0], x), Math.max(seen[1], x), Math.min(seen[2], y), Math.max(seen[3], y)};
                        }
                    }
                }
                // Ninety of a hundred parts are to be filled in one direction, and the margins are alike.
                assertThat(Math.max((seen[1] - seen[0] + 1) / 80.0, (seen[3] - seen[2] + 1) / 60.0)).isCloseTo(0.9, within(0.04));
                assertThat(seen[0] + seen[1]).isCloseTo(79, within(2));
                assertThat(seen[2] + seen[3]).isCloseTo(59, within(2));
            }
        }
    }

    @Test
    void picture_isTheSame_whereTheMeshIsAThousandTimesAsLarge() {
        Mesh torus = Normals.smooth(Cards.mesh(Shapes.torus(1, 0.4, 40, 20), "torus"));
        FloatImage small = Preview.of(torus).size(40).run(Task.silent()), large = Preview.of(torus.unit(1000)).size(40).run(Task.silent());
        // Rounding sends single shadow and sky rays elsewhere: one of nine, one of 54.
        assertThat(largestDifference(small, large)).isLessThan(0.1);
        float[] a = floats(small), b = floats(large);
        double mean = 0;
        for (int i = 0; i < a.length; i++) {
            mean += Math.abs(a[i] - b[i]) / a.length;
        }
        assertThat(mean).isLessThan(1e-4);
    }

    @Test
    void uprightAxis_turnsTheView_notThePicture() {
        Mesh torus = Normals.smooth(Cards.mesh(Shapes.torus(1, 0.4, 40, 20), "torus"));
        Mesh standing = torus.up(Axis.Z); // from a file whose z is up
        FloatImage asItWas = Preview.of(torus).up(Axis.Z).size(40).skyRays(0).run(Task.silent());
        FloatImage turned = Preview.of(standing).size(40).skyRays(0).run(Task.silent());
        assertThat(largestDifference(asItWas, turned)).isLessThan(0.05);
        assertThat(largestDifference(asItWas, Preview.of(torus).size(40).skyRays(0).run(Task.silent()))).isGreaterThan(0.1);
    }

    @Test
    void turntable_beginsAtTheSideThatWasSet_andGoesRound() {
        Mesh box = Normals.hardEdges(Cards.mesh(Shapes.box(1, 2, 1), "box"), 40);
        Preview preview = Preview.of(box).size(32).skyRays(0);
        try (Stream<FloatImage> frames = preview.turntable(8)) {
            List<FloatImage> all = frames.toList();
            assertThat(all).hasSize(8);
            // A square column looks the same after a quarter turn, by a light that stands still; rounding of angles remains.
            assertThat(largestDifference(all.get(0), all.get(2))).isLessThan(0.05);
            assertThat(largestDifference(all.get(0), all.get(1))).isGreaterThan(0.1);
        }
    }

    @Test
    void cancelling_stopsTheDrawing() {
        Cancellation cancellation = new Cancellation();
        Progress progress = (stage, done, total) -> {
            if (stage.equals("drawing") && done > 3) {
                cancellation.cancel();
            }
        };
        Task task = new Task(progress, cancellation, MemoryBudget.ofHeap());
        assertThatThrownBy(() -> Preview.of(Cards.sphere(32)).run(task)).isInstanceOf(CancellationException.class);
    }

    @Test
    void mistakes_areRefusedWithTheirRange() {
        Preview preview = Preview.of(Cards.card());
        assertThatThrownBy(() -> preview.size(8)).hasMessage("width = 8 must be 16 … 8192");
        assertThatThrownBy(() -> preview.samples(9)).hasMessage("samples = 9 must be 1 … 8");
        assertThatThrownBy(() -> preview.skyRays(-1)).hasMessage("skyRays = -1 must be 0 … 256");
        assertThatThrownBy(() -> preview.from(0, 91)).hasMessage("elevationDegrees = 91.0 must be -90.0 … 90.0");
        assertThatThrownBy(() -> preview.distance(0)).hasMessage("distance = 0.0 must be a positive length");
        assertThatThrownBy(() -> preview.fieldOfView(Double.NaN)).hasMessageContaining("fieldOfView = NaN");
        assertThatThrownBy(() -> preview.turntable(0)).hasMessage("frames = 0 must be 1 … 3600");
        assertThatThrownBy(() -> Dressing.bare().metal(1.5)).hasMessage("metal = 1.5 must be 0 … 1");
        assertThatThrownBy(() -> Dressing.bare().normal(FloatImage.create(2, 2, Encoding.colour(3))))
                .hasMessageContaining("must hold NORMAL");
        assertThatThrownBy(() -> Dressing.bare().roughness(FloatImage.create(2, 2, Encoding.id(1)))).hasMessageContaining("holds ID");
        assertThatThrownBy(() -> Dressing.bare().baseColour(FloatImage.create(2, 2, Encoding.colour(1))))
                .hasMessageContaining("1 channels");
        assertThatThrownBy(() -> preview.tracer(Bvh.build(Cards.sphere(8), Task.silent()))).isInstanceOf(IllegalArgumentException.class);
        Mesh bare = Cards.sphere(8);
        assertThatThrownBy(() -> Preview.of(bare).dressed(Dressing.bare().normal(Cards.normals(2, 0, 0, 1))).run(Task.silent()))
                .isInstanceOf(InvalidMeshException.class).hasMessageContaining("has no UVs");
        assertThatThrownBy(() -> Preview.of(Mesh.builder(new float[0], new int[0]).build()).run(Task.silent()))
                .isInstanceOf(InvalidMeshException.class);
    }

    @Test
    void coincidentPoints_givePlainBackground() {
        Mesh point = Mesh.builder(new float[9], new int[] {0, 1, 2}).build();
        FloatImage picture = Preview.of(point).size(16).run(Task.silent());
        for (float value : floats(picture)) {
            assertThat(value).isBetween(0.05f, 0.2f);
        }
    }
}
