package org.estampage.lowpoly;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.assertj.core.api.Assertions.within;

import java.util.HashSet;
import java.util.Set;
import org.estampage.mesh.Axis;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.Normals;
import org.estampage.raster.UvRaster;
import org.joml.Quaterniond;
import org.joml.Vector3d;
import org.joml.Vector3f;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.EnumSource;
import org.junit.jupiter.params.provider.ValueSource;

/** What a lathe can be asked for beside a number of rings about a coordinate axis. */
class LatheOptionsTest {
    /** Straight pieces between heights 0, 0.5, 1.25 and 2. */
    private static double post(double h) {
        return h < 0.5 ? 1 - 0.8 * h : h < 1.25 ? 0.6 : 0.6 + 0.4 * (h - 1.25);
    }

    private static Mesh post() {
        return Revolved.about(Axis.Y, 2, 512, 9, LatheOptionsTest::post);
    }

    private static Mesh ball(int sides, int rings) {
        return Revolved.about(Axis.Y, 2, sides, rings, h -> Math.sqrt(Math.max(0, h * (2 - h))));
    }

    private static int borderEdges(Mesh mesh) {
        Set<Long> edges = new HashSet<>();
        int[] corners = mesh.positionIndices();
        for (int c = 0; c < corners.length; c++) {
            edges.add((long) corners[c] << 32 | corners[c % 3 == 2 ? c - 2 : c + 1]);
        }
        return (int) edges.stream().filter(edge -> !edges.contains(edge << 32 | edge >>> 32)).count();
    }

    // ------------------------------------------------------------------------------------------------------------ volumes

    @ParameterizedTest
    @ValueSource(ints = {3, 8, 96})
    void volume_isPappusTimesThePolygonsShareOfTheCircle(int sides) {
        Mesh low = Lathe.around(post()).sides(sides).heights(0.5, 1.25).build();
        // Pappus and Guldinus: the volume of a solid of revolution is the area of the outline times the way of its centre of area. The outline here is
        // three trapezoids, and each one's area · centre is ∫ r²/2 dh = h(r₀² + r₀r₁ + r₁²)/6. (Textbook, from memory.)
        double moment = 0;
        double[] at = {0, 0.5, 1.25, 2};
        for (int i = 0; i < 3; i++) {
            double r0 = post(at[i]), r1 = post(at[i + 1]);
            moment += (at[i + 1] - at[i]) * (r0 * r0 + r0 * r1 + r1 * r1) / 6;
        }
        double solid = 2 * Math.PI * moment;
        // A regular polygon has this share of its circle's area, at every height.
        double share = sides / (2 * Math.PI) * Math.sin(2 * Math.PI / sides);
        // Corners of 512 sides count in 128 sectors: radii are at most 1 − cos(π/512) = 1.9e−5 too small, areas twice that.
        assertThat(LatheTest.volume(low)).isCloseTo(solid * share, within(4e-5 * solid));
    }

    @ParameterizedTest
    @CsvSource({"0,0,1", "1,2,3", "-1,0.2,0.1", "0,-1,0", "0.6,-0.5,-0.4"})
    void volume_isTheSameAboutAnyAxis(float x, float y, float z) {
        Vector3f direction = new Vector3f(x, y, z);
        Quaterniond turn = new Quaterniond().rotationTo(new Vector3d(0, 1, 0), new Vector3d(direction));
        Mesh high = Revolved.moved(post(), turn, new Vector3d(5, -3, 2));
        Mesh low = Lathe.around(high).axis(direction).sides(16).heights(0.5, 1.25).build();
        Mesh upright = Lathe.around(post()).axis(Axis.Y).sides(16).heights(0.5, 1.25).build();
        // The direction and the positions are floats: 1e−7 of lengths of about 5, cubed.
        assertThat(LatheTest.volume(low)).isCloseTo(LatheTest.volume(upright), within(2e-4));
        Vector3d middle = turn.transform(new Vector3d(0, 2, 0)).add(5, -3, 2);
        int top = 3 * (low.vertexCount() - 1);
        assertThat(new Vector3d(low.positions()[top], low.positions()[top + 1], low.positions()[top + 2]).distance(middle))
                .isLessThan(1e-5);
    }

    @Test
    void line_isTakenAsGiven() {
        Mesh low = Lathe.around(post()).axis(new Vector3f(0.25f, 7, 0), new Vector3f(0, 3, 0)).rings(3).build();
        int top = 3 * (low.vertexCount() - 1);
        assertThat(low.positions()[top]).isEqualTo(0.25f);
        assertThat(low.positions()[top + 1]).isEqualTo(2);
        assertThat(low.positions()[top + 2]).isZero();
    }

    // ------------------------------------------------------------------------------------------------------------ heights

    @ParameterizedTest
    @EnumSource(Axis.class)
    void heights_standExactlyWhereAsked(Axis axis) {
        double[] asked = {0.013, 0.5, 0.50071, 1.9};
        Mesh high = Revolved.of((h, angle) -> post(h), 2, 64, 9, axis, 3, -4, 5);
        float[] p = Lathe.around(high).axis(axis).sides(6).heights(asked).build().positions();
        assertThat(p).hasSize(3 * (6 * 6 + 2));
        for (int v = 0; v < 36; v++) {
            int ring = v / 6;
            float expected = ring == 0 ? 5 : ring == 5 ? 7 : (float) (5 + asked[ring - 1]);
            assertThat(p[3 * v + axis.component()]).isEqualTo(expected);
        }
    }

    @Test
    void heights_mayNameTheEndsOrNot() {
        Mesh low = Lathe.around(post()).heights(0.5).build();
        assertThat(Lathe.around(post()).heights(0, 0.5, 2.0000001).build().sameAs(low)).isTrue();
        assertThat(Lathe.around(post()).heightFractions(0.25).build().sameAs(low)).isTrue();
        assertThat(Lathe.around(post()).heightFractions(0, 0.25, 1).build().sameAs(low)).isTrue();
        assertThat(Lathe.around(post()).heights(0.5).rings(2).build().sameAs(Lathe.around(post()).rings(2).build()))
                .as("the last call holds").isTrue();
    }

    @Test
    void heights_betweenLevelsFollowTheProfile() {
        // Two rings within one of the 1,024 levels of 2/1024, at a height where none is: no level weighs on either but their own hold.
        Mesh low = Lathe.around(post()).sides(8).heights(0.5, 0.7004, 0.7008, 1.25).build();
        float[] p = low.positions();
        for (int ring = 0; ring < 6; ring++) {
            int i = 3 * 8 * ring;
            // 512 sides in 128 sectors: 1.9e−5 inside at the most; the hold of 1e−6 against one level's weight lets through a tenth of that.
            assertThat(Math.hypot(p[i], p[i + 2])).isCloseTo(post(p[i + 1]), within(2.5e-5));
        }
    }

    // --------------------------------------------------------------------------------------------------------------- ends

    @ParameterizedTest
    @CsvSource({"OPEN,OPEN,16", "OPEN,CAPPED,8", "CLOSED,OPEN,8", "CAPPED,CLOSED,0", "CLOSED,CLOSED,0", "CAPPED,CAPPED,0"})
    void ends_areMadeEachForItself(LatheEnd lowEnd, LatheEnd highEnd, int border) {
        Mesh low = Lathe.around(ball(64, 65)).ends(lowEnd, highEnd).sides(8).rings(7).size(256).build();
        assertThat(borderEdges(low)).isEqualTo(border);
        int poles = (lowEnd == LatheEnd.CLOSED ? 1 : 0) + (highEnd == LatheEnd.CLOSED ? 1 : 0);
        int fans = (lowEnd == LatheEnd.OPEN ? 0 : 1) + (highEnd == LatheEnd.OPEN ? 0 : 1);
        assertThat(low.triangleCount()).isEqualTo(2 * 8 * (6 - poles) + 8 * fans);
        assertThat(low.vertexCount()).isEqualTo(8 * (7 - poles) + fans);
        assertThat(low.polygons().orElseThrow().count()).isEqualTo(8 * (6 - poles) + 8 * fans);
        assertThat(UvRaster.of(low, 256, 256, 1).findings()).as("neither mirrored nor flat nor outside nor overlapping").isEmpty();
        assertThat(low.bounds().minY()).isZero();
        assertThat(low.bounds().maxY()).isEqualTo(2);
    }

    @Test
    void closed_ballHasABallsVolumeAndRadialNormals() {
        Mesh low = Lathe.around(ball(256, 257)).closed().sides(128).rings(40).build();
        double share = 128 / (2 * Math.PI) * Math.sin(2 * Math.PI / 128);
        // The fitted chords of 39 pieces of the half circle lie about as much outside as inside: (π/39)²/12 = 5e−4 is what one-sided ones would lose.
        assertThat(LatheTest.volume(low)).isCloseTo(4.0 / 3 * Math.PI * share, within(5e-4 * 4.2));
        float[] p = low.positions();
        float[] n = low.normals().orElseThrow().values();
        int[] c = low.positionIndices();
        int[] cn = low.normals().orElseThrow().indices();
        for (int k = 0; k < c.length; k++) {
            int i = 3 * c[k], j = 3 * cn[k];
            double cosine = n[j] * (double) p[i] + n[j + 1] * (p[i + 1] - 1.0) + n[j + 2] * (double) p[i + 2];
            // Half of a piece's turn of π/39 at its ends is 0.04; where pieces are uneven a normal leans by a part of that.
            assertThat(cosine).isGreaterThan(0.99);
        }
    }

    @Test
    void closed_normalsAreTheAngleWeightedOnesPolesIncluded() {
        Mesh low = Lathe.around(ball(64, 65)).closed().sides(24).rings(9).build();
        Mesh smooth = Normals.smooth(low);
        float[] mine = low.normals().orElseThrow().values();
        float[] theirs = smooth.normals().orElseThrow().values();
        int[] at = low.normals().orElseThrow().indices();
        int[] there = smooth.normals().orElseThrow().indices();
        for (int c = 0; c < at.length; c++) {
            for (int k = 0; k < 3; k++) {
                // Positions are floats, 6e−8 of facets of about 0.02 near a pole: 3e−6, and rounding of the result.
                assertThat(mine[3 * at[c] + k]).isCloseTo(theirs[3 * there[c] + k], within(5e-6f));
            }
        }
    }

    // ------------------------------------------------------------------------------------------------------------- radius

    /** A cylinder with three waves around it: its radii have the arcsine distribution. */
    private static Mesh waves() {
        return Revolved.of((h, angle) -> 1 + 0.1 * StrictMath.sin(3 * angle), 1, 1536, 5, Axis.Y, 0, 0, 0);
    }

    private static double radius(Lathe lathe) {
        float[] p = lathe.axis(Axis.Y).sides(8).heights(0.5).build().positions();
        return Math.hypot(p[0], p[2]);
    }

    // A sector counts with its farthest place, which is up to half its width · slope = 0.0245 · 0.3 = 0.0074 beyond its middle, on average 2/π of that.
    private static final double SECTOR = 0.0074;

    @ParameterizedTest
    @CsvSource({"0.1", "0.25", "0.5", "0.75", "0.9"})
    void quantile_isThatOfTheDistribution(double share) {
        // Quantiles of 1 + 0.1 sin(φ) for an even φ: 1 + 0.1 sin(π(q − ½)), the arcsine distribution. (Textbook, from memory.)
        double expected = 1 + 0.1 * Math.sin(Math.PI * (share - 0.5));
        // A share is met to one of 128 sectors: 0.1 · π/128 = 0.0025.
        assertThat(radius(Lathe.around(waves()).quantileRadius(share))).isBetween(expected - 0.0025, expected + SECTOR + 0.0025);
    }

    @Test
    void mean_isThatOfTheDistribution() {
        assertThat(radius(Lathe.around(waves()).meanRadius())).isBetween(1.0, 1 + SECTOR);
    }

    @Test
    void outermost_isTheDefaultAndA95thPercentile() {
        double outermost = radius(Lathe.around(waves()));
        assertThat(outermost).isEqualTo(radius(Lathe.around(waves()).meanRadius().outermost()));
        assertThat(outermost).isEqualTo(radius(Lathe.around(waves()).quantileRadius(0.95)));
        assertThat(radius(Lathe.around(waves()).quantileRadius(1))).isCloseTo(1.1, within(1e-6));
        assertThat(radius(Lathe.around(waves()).quantileRadius(0))).isBetween(0.9, 0.9 + 1e-3);
    }

    // ------------------------------------------------------------------------------------------------------------ refusal

    @Test
    void brokenInput_isNamedWithItsRange() {
        Lathe lathe = Lathe.around(post());
        assertThatThrownBy(lathe::heights).hasMessageContaining("heights has 0 values").hasMessageContaining("1 … 512");
        assertThatThrownBy(() -> lathe.heights(0.5, 0.5)).hasMessageContaining("heights[1] = 0.5")
                .hasMessageContaining("above the one before");
        assertThatThrownBy(() -> lathe.heights(-1)).hasMessageContaining("heights[0] = -1.0");
        assertThatThrownBy(() -> lathe.heights(Double.NaN)).hasMessageContaining("heights[0] = NaN");
        assertThatThrownBy(() -> lathe.heights(Double.POSITIVE_INFINITY)).hasMessageContaining("finite");
        assertThatThrownBy(() -> lathe.heightFractions(0.5, 1.5)).hasMessageContaining("heightFractions[1] = 1.5")
                .hasMessageContaining("0 … 1");
        assertThatThrownBy(() -> lathe.heights(0.5, 2.5).build()).hasMessageContaining("heights[1] = 2.5").hasMessageContaining("0 … 2.0");
        assertThatThrownBy(() -> lathe.heights(0.5, 0.500001).build()).hasMessageContaining("heights[1] = 0.500001");
        assertThatThrownBy(() -> lathe.quantileRadius(1.01)).hasMessageContaining("share = 1.01").hasMessageContaining("0 … 1");
        assertThatThrownBy(() -> lathe.quantileRadius(Double.NaN)).hasMessageContaining("share = NaN");
        assertThatThrownBy(() -> lathe.axis(new Vector3f())).hasMessageContaining("direction").hasMessageContaining("length");
        assertThatThrownBy(() -> lathe.axis(new Vector3f(0, Float.NaN, 1))).hasMessageContaining("direction");
        assertThatThrownBy(() -> lathe.axis(new Vector3f(Float.NaN, 0, 0), new Vector3f(0, 1, 0))).hasMessageContaining("point");
        assertThatThrownBy(() -> Lathe.around(post()).rings(3).closed().build()).hasMessageContaining("rings = 3")
                .hasMessageContaining("at least 4");
    }
}
