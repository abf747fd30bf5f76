package org.estampage.mesh;

import static org.assertj.core.api.Assertions.assertThat;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.Collections;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.Random;
import java.util.stream.IntStream;
import net.jqwik.api.Arbitraries;
import net.jqwik.api.Arbitrary;
import net.jqwik.api.Combinators;
import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.Provide;
import org.estampage.finding.Finding;

/** Laws over heaps of triangles on few places, in which every fault there is turns up many times. Corners are tagged with their own numbers. */
class CleanupPropertyTest {
    @Property(tries = 400)
    void result_isOrderlyByItsOwnVertices(@ForAll("dirty") Mesh dirty, @ForAll boolean cards) {
        Mesh clean = clean(dirty, cards);
        Adjacency own = CleanupTest.own(clean);
        assertThat(own.opposite()).doesNotContain(Adjacency.NON_MANIFOLD);
        int[] fan = new int[clean.positionIndices().length];
        assertThat(own.fans(own.borders(), fan)).isEqualTo(clean.triangleCount() == 0 ? 0 : clean.vertexCount());
        assertThat(Arrays.stream(clean.positionIndices()).distinct().count())
                .isEqualTo(clean.triangleCount() == 0 ? 0 : clean.vertexCount());
    }

    @Property(tries = 300)
    void secondTime_changesNothingAndSaysNothing(@ForAll("dirty") Mesh dirty, @ForAll boolean cards) {
        Mesh clean = clean(dirty, cards);
        assertThat(clean(clean, cards)).isSameAs(clean);
        Mesh untold = Mesh.builder(clean.positions(), clean.positionIndices()).build();
        assertThat(clean(untold, cards).findings().stream().map(Finding::kind)).isSubsetOf("zero-area-kept");
    }

    @Property(tries = 300)
    void corners_stayWhereTheyWere_inTheirOrder(@ForAll("dirty") Mesh dirty, @ForAll boolean cards) {
        Mesh clean = clean(dirty, cards);
        int[] tags = tags(clean);
        for (int c = 0; c < tags.length; c++) {
            assertThat(place(clean, c)).isEqualTo(place(dirty, tags[c]));
            assertThat(tags[c] % 3).isEqualTo(c % 3);
            assertThat(c == 0 || tags[c] > tags[c - 1]).isTrue();
        }
    }

    /** The oracle counts triangles of each orientation on each three places in a map. */
    @Property(tries = 300)
    void surface_isThatOfTheSideWithMore(@ForAll("dirty") Mesh dirty, @ForAll boolean cards) {
        Map<List<List<Float>>, Integer> sides = new HashMap<>();
        for (int t = 0; t < dirty.triangleCount(); t++) {
            List<List<Float>> places = triangle(dirty, t);
            if (places.stream().distinct().count() == 3) {
                sides.merge(places, 1, Integer::sum);
            }
        }
        List<List<List<Float>>> expected = new ArrayList<>();
        sides.forEach((places, count) -> {
            int against = sides.getOrDefault(List.of(places.get(0), places.get(2), places.get(1)), 0);
            if (count > against || (cards && against > 0)) {
                expected.add(places);
            }
        });
        assertThat(triangles(clean(dirty, cards))).containsExactlyInAnyOrderElementsOf(expected);
    }

    /** The oracle joins corners across each edge of exactly two triangles in opposite directions, pair by pair, until nothing changes. */
    @Property(tries = 200)
    void vertices_areFansOverPairedEdges(@ForAll("dirty") Mesh dirty) {
        Mesh clean = clean(dirty, false);
        int[] fan = IntStream.range(0, clean.positionIndices().length).toArray();
        Map<List<List<Float>>, List<Integer>> edges = new HashMap<>();
        for (int e = 0; e < fan.length; e++) {
            List<List<Float>> ends = new ArrayList<>(List.of(place(clean, e), place(clean, Adjacency.next(e))));
            ends.sort(java.util.Comparator.comparing(Object::toString));
            edges.computeIfAbsent(ends, key -> new ArrayList<>()).add(e);
        }
        for (List<Integer> two : edges.values()) {
            if (two.size() == 2 && !place(clean, two.get(0)).equals(place(clean, two.get(1)))) {
                join(fan, two.get(0), Adjacency.next(two.get(1)));
                join(fan, Adjacency.next(two.get(0)), two.get(1));
            }
        }
        for (int c = 0; c < fan.length; c++) {
            for (int d = 0; d < c; d++) {
                assertThat(clean.positionIndices()[c] == clean.positionIndices()[d]).isEqualTo(fan[c] == fan[d]);
            }
        }
    }

    private static void join(int[] fan, int c, int d) {
        int from = fan[c], to = fan[d];
        for (int i = 0; i < fan.length; i++) {
            fan[i] = fan[i] == from ? to : fan[i];
        }
    }

    @Property(tries = 200)
    void orderOfTriangles_changesOnlyTheOrder(@ForAll("dirty") Mesh dirty, @ForAll boolean cards, @ForAll Random random) {
        List<Integer> order = new ArrayList<>(IntStream.range(0, dirty.triangleCount()).boxed().toList());
        Collections.shuffle(order, random);
        int[] t = new int[dirty.positionIndices().length];
        for (int i = 0; i < order.size(); i++) {
            int turn = random.nextInt(3);
            for (int k = 0; k < 3; k++) {
                t[3 * i + k] = dirty.positionIndices()[3 * order.get(i) + (k + turn) % 3];
            }
        }
        Mesh a = clean(dirty, cards), b = clean(Mesh.builder(dirty.positions(), t).build(), cards);
        assertThat(triangles(b)).containsExactlyInAnyOrderElementsOf(triangles(a));
        assertThat(b.vertexCount()).isEqualTo(a.vertexCount());
        // Copies may stand on other vertices at the same places: which of them are used then depends on which copy comes first.
        assertThat(ofTriangles(b)).isEqualTo(ofTriangles(a));
    }

    private static List<String> ofTriangles(Mesh mesh) {
        return mesh.findings().stream()
                .filter(f -> f.kind().contains("triangles") || f.kind().startsWith("repeated") || f.kind().startsWith("zero"))
                .map(f -> f.kind() + " " + f.count()).toList();
    }

    private static Mesh clean(Mesh mesh, boolean cards) {
        return (cards ? Cleanup.of(mesh).cards() : Cleanup.of(mesh)).build();
    }

    private static int[] tags(Mesh mesh) {
        Attribute extra = mesh.extras().get(0);
        return IntStream.of(extra.indices()).map(i -> (int) extra.values()[i]).toArray();
    }

    private static List<Float> place(Mesh mesh, int corner) {
        int v = 3 * mesh.positionIndices()[corner];
        float[] p = mesh.positions();
        return List.of(p[v] + 0f, p[v + 1] + 0f, p[v + 2] + 0f);
    }

    /** The three places of a triangle in its direction, the least one first. */
    private static List<List<Float>> triangle(Mesh mesh, int t) {
        List<List<Float>> places = new ArrayList<>(List.of(place(mesh, 3 * t), place(mesh, 3 * t + 1), place(mesh, 3 * t + 2)));
        int least = IntStream.range(0, 3).boxed().min(java.util.Comparator.comparing(k -> places.get(k).toString())).orElseThrow();
        Collections.rotate(places, -least);
        return List.copyOf(places);
    }

    private static List<List<List<Float>>> triangles(Mesh mesh) {
        return IntStream.range(0, mesh.triangleCount()).mapToObj(t -> triangle(mesh, t)).toList();
    }

    /** Few places make coincident triangles likely; whole surfaces with a few triangles more make fans and fins. */
    @Provide
    Arbitrary<Mesh> dirty() {
        Arbitrary<Mesh> heaps = Combinators.combine(Arbitraries.integers().between(4, 7),
                Arbitraries.integers().between(0, 11).array(int[].class).ofMinSize(3).ofMaxSize(90)).as((places, t) -> {
                    float[] p = new float[36];
                    for (int v = 0; v < 12; v++) {
                        int place = v % places;
                        p[3 * v] = (place & 1) == 0 ? -0f * (v & 8) : 1;
                        p[3 * v + 1] = (place & 2) == 0 ? 0 : 1;
                        p[3 * v + 2] = (place & 4) == 0 ? 0 : 1;
                    }
                    return Mesh.builder(p, Arrays.copyOf(t, t.length / 3 * 3)).build();
                });
        Arbitrary<Mesh> surfaces = Combinators
                .combine(Arbitraries.of(TestShapes.cube(), TestShapes.icosahedron(), TestShapes.sheet(3, 0.2)),
                        Arbitraries.integers().between(0, 7).array(int[].class).ofMaxSize(24),
                        Arbitraries.integers().between(0, 17).array(int[].class).ofMaxSize(8),
                        Arbitraries.of(true, false))
                .as((shape, more, backs, exploded) -> {
                    int[] t = shape.positionIndices();
                    int count = t.length;
                    t = Arrays.copyOf(t, count + 3 * backs.length + more.length / 3 * 3);
                    for (int back : backs) {
                        int c = 3 * (back % shape.triangleCount());
                        t[count++] = t[c + 1];
                        t[count++] = t[c];
                        t[count++] = t[c + 2];
                    }
                    System.arraycopy(more, 0, t, count, more.length / 3 * 3);
                    Mesh mesh = Mesh.builder(shape.positions(), t).build();
                    return exploded ? TestShapes.exploded(mesh) : mesh;
                });
        return Arbitraries.oneOf(heaps, surfaces, TestShapes.soups().filter(m -> m.triangleCount() > 0)).map(mesh -> mesh.toBuilder()
                .extra(CleanupTest.tagged("corner", 1, IntStream.range(0, mesh.positionIndices().length).toArray())).build());
    }
}
