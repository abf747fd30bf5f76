package org.estampage.bake;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.assertj.core.api.Assertions.within;

import java.util.List;
import java.util.Map;
import org.estampage.bvh.HemisphereQuery;
import org.estampage.bvh.HemisphereQuery.Distribution;
import org.estampage.cage.Cage;
import org.estampage.finding.Finding;
import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.image.Range;
import org.estampage.maps.HeightMap;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;
import org.junit.jupiter.api.Test;

/** What the baker does for a map: prepares it, traces its queries on either side, against all or its own part. */
class SurfaceMapContractTest {
    private static final float INF = Float.POSITIVE_INFINITY;

    /** How open, or how far inside, by one query. */
    private record QueryMap(HemisphereQuery query) implements SurfaceMap {
        @Override
        public String name() {
            return "query";
        }

        @Override
        public MapFormat format() {
            return new MapFormat(Encoding.Kind.DATA, new RangeRule.Fixed(List.of(Range.UNIT)), List.of(0f), 8, true);
        }

        @Override
        public List<HemisphereQuery> queries() {
            return List.of(query);
        }

        @Override
        public void evaluate(SurfaceHits hits, HemisphereAnswers answers, float[] dest) {
            HemisphereAnswers.Sums sums = answers.of(0);
            boolean far = query.answer() == HemisphereQuery.Answer.DISTANCE;
            for (int s = 0; s < hits.size(); s++) {
                dest[s] = (far ? sums.distance[s] : sums.open[s]) / sums.rays[s];
            }
        }
    }

    private static FloatImage query(HemisphereQuery query, BakeJob.Builder job) {
        return Baker.create().bake(job.maps(new QueryMap(query)).build(), Task.silent()).map("query");
    }

    @Test
    void raysInside_measureASlab() {
        // Cosine-weighted mean of 1/cos within 30°: 2/(1 + cos 30°).
        Mesh top = Patches.grid(4, 0.1, (x, z) -> 0);
        int[] turned = top.positionIndices().clone();
        for (int c = 0; c < turned.length; c += 3) {
            int swap = turned[c];
            turned[c] = turned[c + 1];
            turned[c + 1] = swap;
        }
        Mesh bottom = Mesh.builder(Patches.grid(4, 0, (x, z) -> -0.5).positions(), turned).build();
        HemisphereQuery cone = new HemisphereQuery(Distribution.COSINE, 256, INF).within(30).inside().measured();
        FloatImage image = query(cone, BakeJob.of(Cage.offset(top, 0.1), top, bottom).size(16));
        assertThat((double) image.get(8, 8, 0)).isCloseTo(0.5 * 1.0717967697, within(1e-3));
        // About the normal nothing is met.
        FloatImage above = query(new HemisphereQuery(Distribution.COSINE, 256, INF),
                BakeJob.of(Cage.offset(top, 0.1), top, bottom).size(16));
        assertThat(above.get(8, 8, 0)).isEqualTo(1f);
    }

    @Test
    void ownPart_isAllThatBlocks_whereAQueryAsksForThat() {
        Mesh low = Patches.twoParts(0, 0, "left", "right"), high = Patches.twoParts(0.1, 0.2, "left", "right");
        HemisphereQuery query = new HemisphereQuery(Distribution.COSINE, 64, INF);
        FloatImage all = query(query, BakeJob.of(Cage.offset(low, 0.5), high).size(32).pairByName());
        FloatImage own = query(query.byOwnPart(), BakeJob.of(Cage.offset(low, 0.5), high).size(32).pairByName());
        assertThat(all.get(13, 16, 0)).as("left, beside the higher strip").isLessThan(0.9f);
        assertThat(own.get(13, 16, 0)).isEqualTo(1f);
        assertThat(own.get(20, 16, 0)).isEqualTo(1f);
    }

    @Test
    void ownPart_withoutPairs_isRefused() {
        Mesh low = Patches.flat(1, 0.1);
        HemisphereQuery query = new HemisphereQuery(Distribution.COSINE, 64, INF).byOwnPart();
        assertThatThrownBy(() -> BakeJob.of(low, low).maps(new QueryMap(query)).build()).isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining("query").hasMessageContaining("pairByName");
    }

    /** A number that only the whole high poly tells. */
    private record CountMap(float count) implements SurfaceMap {
        @Override
        public String name() {
            return "count";
        }

        @Override
        public SurfaceMap prepared(List<Mesh> highs, Task task) {
            return new CountMap(highs.stream().mapToInt(Mesh::triangleCount).sum());
        }

        @Override
        public List<Finding> findings() {
            return count == 0 ? List.of() : List.of(Finding.note("counted", 1, "counted", "nothing", List.of()));
        }

        @Override
        public Map<String, String> details() {
            return Map.of("Counted", Float.toString(count));
        }

        @Override
        public MapFormat format() {
            return new MapFormat(Encoding.Kind.DATA, new RangeRule.Fixed(List.of(new Range(0, count))), List.of(-1f), 8, true);
        }

        @Override
        public void evaluate(SurfaceHits hits, HemisphereAnswers answers, float[] dest) {
            java.util.Arrays.fill(dest, 0, hits.size(), count);
        }
    }

    @Test
    void map_isMadeReadyForTheHighPolys_andSaysWhatItNoticed() {
        Mesh low = Patches.flat(1, 0.1);
        BakeResult result = Baker.create().bake(
                BakeJob.of(Cage.offset(low, 0.5), Patches.flat(2, 0), Patches.flat(3, 0)).size(8).maps(new CountMap(0)).build(),
                Task.silent());
        assertThat(result.map("count").get(4, 4, 0)).isEqualTo(8f + 18f);
        assertThat(result.range("count").atOne()).isEqualTo(26f);
        assertThat(result.findings().ofKind("counted")).hasSize(1);
        assertThat(result.maps().get(0).details()).containsExactly(Map.entry("Counted", "26.0"));
    }

    @Test
    void hits_sayWhereOnTheLowPolyTheyAre() {
        Mesh low = Patches.flat(3, 0.1);
        SurfaceMap where = new SurfaceMap() {
            @Override
            public String name() {
                return "where";
            }

            @Override
            public MapFormat format() {
                return HeightMap.create().format();
            }

            @Override
            public void evaluate(SurfaceHits hits, HemisphereAnswers answers, float[] dest) {
                for (int s = 0; s < hits.size(); s++) {
                    int c = 3 * hits.lowTriangles[s];
                    float b1 = hits.lowB1[s], b2 = hits.lowB2[s], b0 = 1 - b1 - b2;
                    int[] corners = low.positionIndices();
                    float x = b0 * low.positions()[3 * corners[c]] + b1 * low.positions()[3 * corners[c + 1]]
                            + b2 * low.positions()[3 * corners[c + 2]];
                    dest[s] = x - hits.lowPositions[3 * s];
                }
            }
        };
        BakeResult result = Baker.create().bake(BakeJob.of(Cage.offset(low, 0.5), low).size(16).maps(where).build(), Task.silent());
        for (int y = 0; y < 16; y++) {
            for (int x = 0; x < 16; x++) {
                assertThat(result.map("where").get(x, y, 0)).isZero();
            }
        }
    }
}
