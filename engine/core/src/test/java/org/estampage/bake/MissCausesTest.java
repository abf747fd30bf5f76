package org.estampage.bake;

import static org.assertj.core.api.Assertions.assertThat;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Map;
import java.util.TreeMap;
import org.estampage.cage.Cage;
import org.estampage.finding.Finding;
import org.estampage.finding.Place;
import org.estampage.finding.Severity;
import org.estampage.image.FloatImage;
import org.estampage.maps.HeightMap;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.Part;
import org.estampage.task.Task;
import org.junit.jupiter.api.Test;

/** Scenes that are built so that the cause of every miss is known. */
class MissCausesTest {
    private static final int SIZE = 16;
    private static final int SAMPLES = SIZE * SIZE * 4;

    /** One strip of a high poly over x from {@code left} to {@code right}, all z, at a height; its face is up or down. */
    private record Strip(double left, double right, double height, boolean up, String part) {
        Strip(double left, double right, double height) {
            this(left, right, height, true, "only");
        }

        Strip down() {
            return new Strip(left, right, height, false, part);
        }

        Strip of(String name) {
            return new Strip(left, right, height, up, name);
        }
    }

    private static Mesh high(Strip... strips) {
        float[] p = new float[12 * strips.length];
        int[] corners = new int[6 * strips.length];
        int[] part = new int[2 * strips.length];
        List<String> names = Arrays.stream(strips).map(Strip::part).distinct().toList();
        for (int s = 0; s < strips.length; s++) {
            Strip strip = strips[s];
            // A little longer than the low poly, so that its rays don't meet the ends.
            double[][] points = {{strip.left, 1.1}, {strip.right, 1.1}, {strip.right, -1.1}, {strip.left, -1.1}};
            for (int k = 0; k < 4; k++) {
                p[12 * s + 3 * k] = (float) points[k][0];
                p[12 * s + 3 * k + 1] = (float) strip.height;
                p[12 * s + 3 * k + 2] = (float) points[k][1];
            }
            int[] own = strip.up ? new int[] {0, 1, 2, 0, 2, 3} : new int[] {2, 1, 0, 3, 2, 0};
            for (int k = 0; k < 6; k++) {
                corners[6 * s + k] = 4 * s + own[k];
            }
            part[2 * s] = part[2 * s + 1] = names.indexOf(strip.part);
        }
        return Mesh.builder(p, corners).name("strips").parts(names.stream().map(Part::new).toList(), part).build();
    }

    /** A square over [−1, 1]² that fills its image, with a cage 0.25 out and rays that go 0.25 in. */
    private static BakeJob.Builder job(Mesh high) {
        return BakeJob.of(Cage.offset(Patches.flat(1, 0), 0.25), high).size(SIZE).maps(HeightMap.create());
    }

    private static BakeResult bake(BakeJob.Builder job) {
        return Baker.create().bake(job.build(), Task.silent());
    }

    private static Map<String, Long> causes(BakeResult result) {
        Map<String, Long> counts = new TreeMap<>();
        for (MissCause cause : MissCause.values()) {
            result.findings().ofKind(cause.kind()).forEach(finding -> counts.merge(cause.kind(), finding.count(), Long::sum));
        }
        return counts;
    }

    private static Finding only(BakeResult result, MissCause cause, long count) {
        assertThat(causes(result)).containsExactly(Map.entry(cause.kind(), count));
        assertThat(result.missedSampleCount()).isEqualTo(count);
        return result.findings().ofKind(cause.kind()).get(0);
    }

    @Test
    void surfaceInsideOut_isMissedForItsBacks_andCountsOnRequest() {
        BakeJob.Builder job = job(high(new Strip(-2, 0, 0.1), new Strip(0, 2, 0.1).down()));
        BakeResult result = bake(job);
        Finding backs = only(result, MissCause.BACK_FACES, SAMPLES / 2);
        assertThat(backs.severity()).isEqualTo(Severity.WARNING);
        assertThat(backs.places()).hasSize(Finding.MAX_PLACES).startsWith(new Place.Texel(8, 0), new Place.Texel(9, 0))
                .contains(new Place.Texel(8, 1));
        assertThat(backs.remedy()).contains("hits(HitRule.FIRST_FACE)").doesNotContain("depth");
        assertThat(bake(job.hits(HitRule.FIRST_FACE)).missedSampleCount()).isZero();
    }

    @Test
    void backsBeyondTheReach_needADepth_too() {
        BakeJob.Builder job = job(high(new Strip(-2, 2, -0.5).down()));
        Finding backs = only(bake(job), MissCause.BACK_FACES, SAMPLES);
        assertThat(backs.remedy()).contains("depth(0.5001)");
        assertThat(bake(job.hits(HitRule.FIRST_FACE).depth(0.5001)).missedSampleCount()).isZero();
    }

    @Test
    void surfaceTooFarIn_isReachedByTheDepthThatTheFindingNames() {
        BakeJob.Builder job = job(high(new Strip(-2, 0.5, -0.3), new Strip(0.5, 2, -0.7)));
        Finding beyond = only(bake(job), MissCause.BEYOND_REACH, SAMPLES);
        // Half of the samples need 0.3; lengths are told apart in steps of an eighth of ¼ there.
        assertThat(beyond.remedy()).contains("depth(0.7001) reaches all").contains("depth(0.3126) half");
        assertThat(bake(job.depth(0.7001)).missedSampleCount()).isZero();
        assertThat(bake(job.depth(0.3126)).missedSampleCount()).isEqualTo(SAMPLES / 4);
    }

    @Test
    void surfaceOutsideTheCage_isReachedByTheOffsetThatTheFindingNames() {
        Mesh high = high(new Strip(-2, 2, 0.6));
        Finding outside = only(bake(job(high)), MissCause.OUTSIDE_CAGE, SAMPLES);
        assertThat(outside.remedy()).contains("Cage.offset(low, 0.6001)");
        assertThat(bake(job(high).cage(Cage.offset(Patches.flat(1, 0), 0.6001))).missedSampleCount()).isZero();
    }

    @Test
    void surfaceExactlyOnTheCage_isOutsideOfIt() {
        only(bake(job(high(new Strip(-2, 2, 0.25)))), MissCause.OUTSIDE_CAGE, SAMPLES);
    }

    @Test
    void rayThatStartsInsideASolid_isOutsideTheCage_thoughItMeetsABack() {
        only(bake(job(high(new Strip(-2, 2, 0.4), new Strip(-2, 2, -0.1).down()))), MissCause.OUTSIDE_CAGE, SAMPLES);
        // Here the face under the back belongs to something else.
        only(bake(job(high(new Strip(-2, 2, 0.4), new Strip(-2, 2, -0.1).down(), new Strip(-2, 2, -0.3)))), MissCause.OUTSIDE_CAGE,
                SAMPLES);
    }

    @Test
    void ofTwoSurfaces_theOneNearerToTheRayDecides() {
        only(bake(job(high(new Strip(-2, 2, 0.4), new Strip(-2, 2, -0.3)))), MissCause.BEYOND_REACH, SAMPLES);
        only(bake(job(high(new Strip(-2, 2, 0.4), new Strip(-2, 2, -0.5)))), MissCause.OUTSIDE_CAGE, SAMPLES);
    }

    @Test
    void bothSidesCounting_leavesNoBacks() {
        only(bake(job(high(new Strip(-2, 2, -0.3).down())).hits(HitRule.FIRST_FACE)), MissCause.BEYOND_REACH, SAMPLES);
        only(bake(job(high(new Strip(-2, 2, 0.3).down())).hits(HitRule.NEAREST_FACE)), MissCause.OUTSIDE_CAGE, SAMPLES);
    }

    @Test
    void nothingThere_isMissedForThat() {
        BakeResult result = bake(job(high(new Strip(-2, -0.5, 0))));
        only(result, MissCause.NOTHING, SAMPLES * 3 / 4);
        assertThat(result.findings().ofKind("missed-texels").get(0).count()).isEqualTo(SIZE * SIZE * 3 / 4);
    }

    /** Returns two parts with a gap between them, so that no sample lies where their high polys meet. */
    private static Mesh apart(Mesh parts) {
        float[] p = parts.positions().clone();
        for (int v = 0; v < 8; v++) {
            p[3 * v] += v < 4 ? -0.1f : 0.1f;
        }
        return parts.toBuilder().positions(p).build();
    }

    @Test
    void anotherPartThere_isMissedForThat_onlyWhereTheOwnHasNothing() {
        Mesh low = apart(Patches.twoParts(0, 0, "left", "right"));
        Mesh swapped = high(new Strip(-2, 0, 0).of("right"), new Strip(0, 2, 0).of("left"));
        BakeJob.Builder job = BakeJob.of(Cage.offset(low, 0.25), swapped).size(SIZE).maps(HeightMap.create()).pairByName();
        BakeResult result = bake(job);
        only(result, MissCause.OTHER_PART, result.sampleCount());
        // The right part's own surface is there, but too deep.
        Mesh deep = high(new Strip(-2, 2, 0).of("left"), new Strip(0, 2, -0.5).of("right"));
        BakeResult other = bake(BakeJob.of(Cage.offset(low, 0.25), deep).size(SIZE).maps(HeightMap.create()).pairByName());
        only(other, MissCause.BEYOND_REACH, result.sampleCount() / 2);
        // Neither its own nor another's between the cage and the end of the ray.
        Mesh none = high(new Strip(-2, 0, 0).of("left"), new Strip(0, 2, -0.5).of("left"), new Strip(4, 5, 0).of("right"));
        BakeResult nothing = bake(BakeJob.of(Cage.offset(low, 0.25), none).size(SIZE).maps(HeightMap.create()).pairByName());
        only(nothing, MissCause.NOTHING, result.sampleCount() / 2);
    }

    @Test
    void cageWhoseDirectionsCancelOut_givesNoRay() {
        // A triangle without area but with UVs: nothing says where outside is, so its ends lead away from each other. The only sample lies half way.
        float[] p = {-1, 0, 0, 1, 0, 0, 1, 0, 0};
        int[] corners = {0, 1, 2};
        Mesh low = Mesh.builder(p, corners).uvSet(new Attribute("uv", 2, new float[] {0, 0.5f, 1, 0, 1, 1}, corners)).build();
        Cage cage = Cage.offset(low, 0);
        BakeResult result = bake(BakeJob.of(cage, high(new Strip(-2, 2, 0))).size(1).samples(1).maps(HeightMap.create()));
        assertThat(only(result, MissCause.NO_DIRECTION, 1).remedy()).contains("offset above 0");
    }

    /** A strip for each cause but the last one: backs, too deep, too high, nothing; and one that hits. */
    private static Mesh mixed() {
        return high(new Strip(-2, -0.6, 0.1).down(), new Strip(-0.6, -0.2, -0.5), new Strip(-0.2, 0.2, 0.5), new Strip(0.6, 2, 0.1));
    }

    @Test
    void causes_areTheSameForAnyThreadsAndBlocks_andAddUp() {
        BakeJob job = job(mixed()).size(40, 33).samples(3).build();
        BakeResult one = Baker.create().threads(1).blockSide(64).bake(job, Task.silent());
        assertThat(causes(one).values().stream().mapToLong(Long::longValue).sum()).isEqualTo(one.missedSampleCount());
        assertThat(causes(one).keySet()).containsExactly("missed-back-faces", "missed-beyond-reach", "missed-nothing",
                "missed-outside-cage");
        for (int[] how : new int[][] {{2, 64}, {2, 7}, {1, 1}}) {
            BakeResult other = Baker.create().threads(how[0]).blockSide(how[1]).bake(job, Task.silent());
            assertThat(other.findings()).isEqualTo(one.findings());
            assertThat(all(other.missCauses().orElseThrow())).containsExactly(all(one.missCauses().orElseThrow()));
        }
    }

    @Test
    void causes_addUp_whereEdgesHaveMoreSamples() {
        BakeResult result = bake(job(mixed()).size(42).edgeSamples(4));
        assertThat(result.refinedTexelCount()).isPositive();
        assertThat(causes(result).values().stream().mapToLong(Long::longValue).sum()).isEqualTo(result.missedSampleCount());
    }

    private static float[] all(FloatImage image) {
        return image.read(0, 0, image.width(), image.height(), new float[image.width() * image.height() * image.channels()]);
    }

    @Test
    void picture_showsEachCauseInItsColour() {
        BakeResult result = bake(job(mixed()).size(40));
        FloatImage causes = result.missCauses().orElseThrow(), picture = result.missPicture();
        // Columns 0 … 7 lie over the first strip, and so on; 40 texels over 2 units.
        int[] column = {4, 12, 20, 28, 36};
        int[] number = {MissCause.BACK_FACES.number(), MissCause.BEYOND_REACH.number(), MissCause.OUTSIDE_CAGE.number(),
                MissCause.NOTHING.number(), 0};
        List<List<Float>> colours = new ArrayList<>();
        for (int k = 0; k < 5; k++) {
            assertThat(causes.get(column[k], 7, 0)).isEqualTo(number[k]);
            colours.add(List.of(picture.get(column[k], 7, 0), picture.get(column[k], 7, 1), picture.get(column[k], 7, 2)));
        }
        assertThat(colours).doesNotHaveDuplicates();
        assertThat(colours.get(4)).containsExactly(0.3f, 0.3f, 0.3f);
    }

    @Test
    void bakeThatMissesNothing_hasNoCauses_andAGreyPicture() {
        BakeResult result = bake(job(high(new Strip(-2, 2, 0))));
        assertThat(result.missCauses()).isEmpty();
        assertThat(causes(result)).isEmpty();
        assertThat(result.missPicture().get(3, 3, 0)).isEqualTo(0.3f);
    }

    @Test
    void singleSamplesMissed_areNotes() {
        // 16 texels over 2 units: the samples of the last column lie at x = 0.906 and 0.969, and the high poly ends between them.
        BakeResult result = bake(job(high(new Strip(-2, 0.95, 0))));
        Finding nothing = only(result, MissCause.NOTHING, SIZE * 2);
        assertThat(nothing.severity()).isEqualTo(Severity.NOTE);
        assertThat(result.findings().ofKind("missed-samples").get(0).count()).isEqualTo(SIZE * 2);
    }
}
