package org.estampage.lowpoly;

import static org.assertj.core.api.Assertions.assertThat;
import static org.estampage.lowpoly.LowPolyShapes.blindVertices;
import static org.estampage.lowpoly.LowPolyShapes.eulerCharacteristic;
import static org.estampage.lowpoly.LowPolyShapes.mesh;
import static org.estampage.lowpoly.LowPolyShapes.nonManifoldEdges;
import static org.estampage.lowpoly.LowPolyShapes.openEdges;

import java.util.Random;
import net.jqwik.api.Arbitraries;
import net.jqwik.api.Arbitrary;
import net.jqwik.api.Combinators;
import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.Provide;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;
import org.estampage.testresources.Shapes;

/** Laws that hold for any mesh, tried on rough balls, rings and sheets, and on heaps of random triangles. */
class DecimatePropertyTest {
    @Property(tries = 60)
    void roughShapes_keepTopologyBordersAndDirections(@ForAll("rough") Mesh high, @ForAll("parts") double part) {
        int target = Math.max(1, (int) (part * high.triangleCount()));
        Mesh low = Decimate.of(high).triangles(target).build();
        assertThat(low.triangleCount() <= target || !low.findings().ofKind("decimation-stopped").isEmpty()).isTrue();
        assertThat(nonManifoldEdges(low)).isZero();
        assertThat(eulerCharacteristic(low)).isEqualTo(eulerCharacteristic(high));
        assertThat(openEdges(low)).isLessThanOrEqualTo(openEdges(high));
        assertThat(openEdges(low) == 0).isEqualTo(openEdges(high) == 0);
        assertThat(blindVertices(low)).isLessThanOrEqualTo(blindVertices(high));
        if (!high.uvSets().isEmpty()) {
            assertThat(DecimateTest.mirroredUvs(low)).isZero();
        }
    }

    /** With this seed a vertex that barely saw its triangles once went blind. */
    @Property(tries = 60, seed = "-8782034950369481916")
    void barelySeeingVertices_stayThat(@ForAll("rough") Mesh high, @ForAll("parts") double part) {
        Mesh low = Decimate.of(high).triangles(Math.max(1, (int) (part * high.triangleCount()))).build();
        assertThat(blindVertices(low)).isLessThanOrEqualTo(blindVertices(high));
    }

    @Property(tries = 40)
    void errorBound_isHeldBothWays(@ForAll("rough") Mesh high, @ForAll("fractions") double fraction) {
        double bound = fraction * high.bounds().diagonal();
        Mesh low = Decimate.of(high).error(bound).build();
        SurfaceDistance there = SurfaceDistance.between(high, low, 3000, Task.silent());
        SurfaceDistance back = SurfaceDistance.between(low, high, 3000, Task.silent());
        // Distances are floats of coordinates up to 3, the bound allows for the rounding of the result: together below 1e-5 of the size.
        assertThat(SurfaceDistance.worseOf(there, back).largest()).isLessThanOrEqualTo(bound + 1e-5 * high.bounds().diagonal());
    }

    @Property(tries = 60)
    void randomTriangles_neverFailAndNeverGetWorse(@ForAll("heaps") Mesh heap, @ForAll("parts") double part) {
        int target = Math.max(1, (int) (part * heap.triangleCount()));
        Mesh low = Decimate.of(heap).triangles(target).build();
        assertThat(low.triangleCount()).isLessThanOrEqualTo(heap.triangleCount());
        assertThat(nonManifoldEdges(low)).isLessThanOrEqualTo(nonManifoldEdges(heap));
        for (float value : low.positions()) {
            assertThat(value).isFinite();
        }
        assertThat(Decimate.of(heap).triangles(target).build().sameAs(low)).isTrue();
    }

    @Provide
    Arbitrary<Double> parts() {
        return Arbitraries.doubles().between(0.02, 0.9);
    }

    @Provide
    Arbitrary<Double> fractions() {
        return Arbitraries.integers().between(1, 500).map(n -> n * 1e-4);
    }

    @Provide
    Arbitrary<Mesh> rough() {
        return Combinators.combine(Arbitraries.integers().between(0, 3), Arbitraries.longs(), Arbitraries.doubles().between(0, 0.3))
                .as(DecimatePropertyTest::rough);
    }

    private static Mesh rough(int kind, long seed, double amplitude) {
        Random random = new Random(seed);
        Mesh smooth = switch (kind) {
            case 0 -> mesh(Shapes.icosphere(1, 3));
            case 1 -> mesh(Shapes.torus(1.5, 0.6, 24, 12));
            case 2 -> DecimateTest.seamedBall(20, 12);
            default -> {
                Mesh sheet = LowPolyShapes.square(16, 12);
                float[] uv = new float[2 * sheet.vertexCount()];
                for (int v = 0; v < sheet.vertexCount(); v++) {
                    uv[2 * v] = sheet.positions()[3 * v];
                    uv[2 * v + 1] = sheet.positions()[3 * v + 1];
                }
                yield sheet.toBuilder().uvSet(new Attribute("uv", 2, uv, sheet.positionIndices())).build();
            }
        };
        // Along the radius, or upwards, by a noise that depends on the place alone: welded vertices stay welded.
        float[] p = smooth.positions().clone();
        double[] wave = random.doubles(9, 2, 9).toArray();
        for (int i = 0; i < p.length; i += 3) {
            double x = p[i], y = p[i + 1], z = p[i + 2];
            double noise = 0;
            for (int k = 0; k < 3; k++) {
                noise += StrictMath.sin(wave[3 * k] * x + wave[3 * k + 1] * y + wave[3 * k + 2] * z) / 3;
            }
            double scale = 1 + amplitude * noise;
            p[i] = (float) (x * scale);
            p[i + 1] = (float) (y * scale);
            p[i + 2] = kind == 3 ? (float) (amplitude * noise) : (float) (z * scale);
        }
        return smooth.toBuilder().positions(p).build();
    }

    /** Triangles between random points of a small grid: everything that dirt can be. */
    @Provide
    Arbitrary<Mesh> heaps() {
        return Combinators.combine(Arbitraries.integers().between(1, 150), Arbitraries.integers().between(3, 40), Arbitraries.longs())
                .as((triangles, points, seed) -> {
                    Random random = new Random(seed);
                    float[] p = new float[3 * points];
                    for (int i = 0; i < p.length; i++) {
                        p[i] = random.nextInt(4);
                    }
                    int[] t = random.ints(3L * triangles, 0, points).toArray();
                    return Mesh.builder(p, t).build();
                });
    }
}
