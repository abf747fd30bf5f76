package org.estampage.lowpoly;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Locale;
import java.util.Objects;
import java.util.OptionalInt;
import org.estampage.finding.Finding;
import org.estampage.mesh.Axis;
import org.estampage.mesh.InvalidMeshException;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.MeshCheck;
import org.estampage.mesh.MeshProblem;
import org.estampage.mesh.MeshSource;
import org.estampage.task.Task;
import org.joml.Vector3fc;
import org.jspecify.annotations.Nullable;

/**
 * A low poly turned on a lathe around a high poly: rings of vertices that follow its outer profile, with UVs and normals, ready to be baked to.
 *
 * <p>The line it is turned around is found, or runs where the caller says. Its direction is the one that the surface is round about (see
 * {@code AxisSearch}); that of a coordinate axis exactly, where that one fits as well and is less than 1° off. Its place is a fitted centre (see
 * {@code Turning.fit}). Relief, handles and spikes move neither. Where the surface is round about no axis or several, as boxes and balls are, Y is taken, and
 * a finding says so. The direction rises along the coordinate axis that is nearest to it. The profile is the largest radius by height, of which what sticks out over less than a twentieth of the way round is left out; or the mean
 * or another quantile. The first and the last ring stand at the ends of the high poly; the others at given heights, or where the polyline through the
 * rings follows the profile best, measured as the squared distance between the two along the profile. No ring is smaller than 1 % of the largest radius,
 * but one at a closed end, which is a point. Vertices lie on the profile, so between them the facets cut a circle's corners by r(1 − cos(π/sides)).
 *
 * <p>The side is one chart, u around and v up along the outline, with one seam; each fan at an end is a disc. Normals are smooth around the side and
 * over closed ends, and hard at caps.
 *
 * @shape triangles: 2 · sides · (circles − 1), then the fan of the low end and of the high end, sides each; vertices: sides · circles, circle by circle
 *        from the low end, then the centres of the fans. Every ring is a circle but that at a closed end
 * @space the mesh's own; "low" is where the axis comes from; angles run from +Z to +X about Y, from +Y to +Z about X, from +X to +Y about Z, and about other axes as about the nearest of
 *        these, turned by the smallest turn
 * @threads confined
 */
public final class Lathe implements MeshSource {
    /** The most sides. */
    public static final int MAX_SIDES = 4096;
    /** The most rings; half as many as there are heights that a ring may stand at. */
    public static final int MAX_RINGS = Profile.LEVELS / 2;

    /** Heights that are closer than this share of the mesh's height are one: about ten steps of a float at its far end. */
    private static final double SAME = 1e-6;
    /** The share of a surface that may face the axis without a word: undercuts of a deep relief. A ring has a fifth or more, a tube half. */
    private static final double HOLLOW = 0.1;

    private final MeshSource high;
    private int sides = 96;
    private int rings = 12;
    private double @Nullable [] heights;
    private boolean fractions;
    private @Nullable AxisFrame axis;
    private double @Nullable [] through;
    private LatheEnd low = LatheEnd.CAPPED;
    private LatheEnd highEnd = LatheEnd.CAPPED;
    private Profile.Rule rule = Profile.Rule.quantile(Profile.OUTERMOST);
    private int size = 2048;
    private OptionalInt gutterTexels = OptionalInt.empty();
    private double seamRadians;
    private Task task = Task.silent();

    private Lathe(MeshSource high) {
        this.high = high;
    }

    /** Starts a lathe around a high poly: 96 sides, 12 rings, about the axis that it is round about, capped, for 2048 texels with a gutter of 16. */
    public static Lathe around(MeshSource high) {
        return new Lathe(Objects.requireNonNull(high, "high"));
    }

    /**
     * Sets how many sides there are.
     *
     * @throws IllegalArgumentException if it is not 3 … {@value #MAX_SIDES}
     */
    public Lathe sides(int count) {
        sides = inRange("sides", count, 3, MAX_SIDES);
        return this;
    }

    /**
     * Sets how many rings there are, the two ends included; they stand where they fit the profile best. Takes the place of given heights.
     *
     * @edge a closed end's ring is a point; two more must remain
     * @throws IllegalArgumentException if it is not 2 … {@value #MAX_RINGS}
     */
    public Lathe rings(int count) {
        rings = inRange("rings", count, 2, MAX_RINGS);
        heights = null;
        return this;
    }

    /**
     * Sets the heights of the rings between the ends, in place of a number of rings. The two ends have rings anyway; they may be named or not.
     *
     * @param aboveLowEnd rising distances from the low end along the axis
     * @units mesh units, 0 … the mesh's height
     * @edge heights within a millionth of the mesh's height from an end are that end
     * @throws IllegalArgumentException if there are none or more than {@value #MAX_RINGS}, or if they are negative, not finite or do not rise; at {@link #build}
     *                                  if one is above the mesh or two are closer than a millionth of its height
     */
    public Lathe heights(double... aboveLowEnd) {
        heights = rising("heights", aboveLowEnd, Double.MAX_VALUE);
        fractions = false;
        return this;
    }

    /**
     * Sets the heights of the rings between the ends like {@link #heights}, as fractions of the mesh's height.
     *
     * @param rising fractions, 0 the low end, 1 the high end
     * @throws IllegalArgumentException if there are none or more than {@value #MAX_RINGS}, or if they are not 0 … 1 or do not rise; at {@link #build} if two
     *                                  are closer than a millionth
     */
    public Lathe heightFractions(double... rising) {
        heights = rising("heightFractions", rising, 1);
        fractions = true;
        return this;
    }

    private static double[] rising(String name, double[] values, double most) {
        if (values.length < 1 || values.length > MAX_RINGS) {
            throw new IllegalArgumentException(name + " has " + values.length + " values, must have 1 … " + MAX_RINGS);
        }
        double before = Double.NEGATIVE_INFINITY;
        for (int i = 0; i < values.length; i++) {
            if (!(values[i] >= 0 && values[i] <= most)) {
                throw new IllegalArgumentException(
                        name + "[" + i + "] = " + values[i] + " must be " + (most == 1 ? "0 … 1" : "finite and not negative"));
            }
            if (!(values[i] > before)) {
                throw new IllegalArgumentException(name + "[" + i + "] = " + values[i] + " must be above the one before, " + before);
            }
            before = values[i];
        }
        return values.clone();
    }

    /** Sets the axis that the line runs along; its place is fitted. */
    public Lathe axis(Axis direction) {
        axis = AxisFrame.of(Objects.requireNonNull(direction, "direction"));
        through = null;
        return this;
    }

    /**
     * Sets the direction that the line runs along, from the low end to the high one; its place is fitted.
     *
     * @throws IllegalArgumentException if it is not finite or has no length
     */
    public Lathe axis(Vector3fc direction) {
        axis = frame(direction);
        through = null;
        return this;
    }

    /**
     * Sets the line itself.
     *
     * @param point     any point of the line
     * @param direction where it runs, from the low end to the high one
     * @throws IllegalArgumentException if the point is not finite, or the direction is not finite or has no length
     */
    public Lathe axis(Vector3fc point, Vector3fc direction) {
        if (!point.isFinite()) {
            throw new IllegalArgumentException("point = " + point + " must be finite");
        }
        axis = frame(direction);
        through = new double[] {point.x(), point.y(), point.z()};
        return this;
    }

    private static AxisFrame frame(Vector3fc direction) {
        double x = direction.x(), y = direction.y(), z = direction.z();
        if (!direction.isFinite() || (x == 0 && y == 0 && z == 0)) {
            throw new IllegalArgumentException("direction = " + direction + " must be finite and have a length");
        }
        return AxisFrame.of(x, y, z);
    }

    /** Makes both ends flat discs, each a fan about a centre vertex. */
    public Lathe capped() {
        return ends(LatheEnd.CAPPED, LatheEnd.CAPPED);
    }

    /** Leaves both ends open. */
    public Lathe open() {
        return ends(LatheEnd.OPEN, LatheEnd.OPEN);
    }

    /** Lets the outline run to a point on the axis at both ends. */
    public Lathe closed() {
        return ends(LatheEnd.CLOSED, LatheEnd.CLOSED);
    }

    /** Sets how each end is made. */
    public Lathe ends(LatheEnd lowEnd, LatheEnd highEnd) {
        low = Objects.requireNonNull(lowEnd, "lowEnd");
        this.highEnd = Objects.requireNonNull(highEnd, "highEnd");
        return this;
    }

    /** Follows the outside, which is the default: the radius at each height that is exceeded over no more than a twentieth of the way round. */
    public Lathe outermost() {
        return quantileRadius(Profile.OUTERMOST);
    }

    /** Follows the mean radius at each height, of the outer surface around the line. */
    public Lathe meanRadius() {
        rule = Profile.Rule.mean();
        return this;
    }

    /**
     * Follows the radius at each height that the outer surface doesn't exceed over a share of the way round: 0.5 the median, 1 the farthest place.
     *
     * @edge the way round is cut into 128 sectors, each of which counts with its farthest place
     * @throws IllegalArgumentException if the share is not 0 … 1
     */
    public Lathe quantileRadius(double share) {
        if (!(share >= 0 && share <= 1)) {
            throw new IllegalArgumentException("share = " + share + " must be 0 … 1");
        }
        rule = Profile.Rule.quantile(share);
        return this;
    }

    /**
     * Sets the gap between charts; by default it is a 128th of the size, and at least 1. The border keeps half of it.
     *
     * @throws IllegalArgumentException if it is negative or above 1024
     */
    public Lathe gutterTexels(int texels) {
        gutterTexels = OptionalInt.of(inRange("gutterTexels", texels, 0, 1024));
        return this;
    }

    /**
     * Sets the side of the image that the gutter is counted in.
     *
     * @throws IllegalArgumentException if it is not 16 … 65536
     */
    public Lathe size(int texels) {
        size = inRange("size", texels, 16, 65536);
        return this;
    }

    /**
     * Sets where the seam is.
     *
     * @param radians the angle about the axis
     * @throws IllegalArgumentException if it is not finite
     */
    public Lathe seamAt(double radians) {
        if (!Double.isFinite(radians)) {
            throw new IllegalArgumentException("radians = " + radians + " must be finite");
        }
        seamRadians = radians;
        return this;
    }

    /** Sets who can cancel it before it begins, and recalls what was turned before. */
    public Lathe task(Task value) {
        task = Objects.requireNonNull(value, "value");
        return this;
    }

    private static int inRange(String name, int value, int low, int high) {
        if (value < low || value > high) {
            throw new IllegalArgumentException(name + " = " + value + " must be " + low + " … " + high);
        }
        return value;
    }

    /**
     * Returns the low poly; it is named after the high poly, with the ending {@code -low}. Its findings say where no axis was clear, and where so much of
     * the high poly faces the axis that it must be hollow, of which a lathe makes the outside only.
     *
     * @throws InvalidMeshException     if the high poly has no triangles or positions that are not finite
     * @throws IllegalArgumentException if the high poly has no extent along the axis or around it, a given height is not within it, fewer than two circles
     *                                  remain beside closed ends, or the gutter leaves no room for charts
     * @throws java.util.concurrent.CancellationException if the task was cancelled before
     * @cost time: a pass over the triangles and the heights that each spans, then rings · 2¹⁹ steps
     */
    @Override
    public Mesh build() {
        return task.recalled(Mesh.class, this, this::turned);
    }

    private Mesh turned() {
        Mesh mesh = high.build();
        List<MeshProblem> problems = MeshCheck.problems(mesh, false);
        InvalidMeshException.throwIfAny(problems);
        AxisSearch surface = new AxisSearch(mesh);
        List<Finding> findings = new ArrayList<>();
        AxisFrame frame = frame(surface, mesh.title(), findings);
        double[] place = through;
        Turning turning = place == null ? Turning.fit(mesh, frame) : Turning.through(mesh, frame, place[0], place[1], place[2]);
        if (!(turning.height() > 0)) {
            throw new IllegalArgumentException(
                    mesh.title() + " has no extent along " + frame.axisName() + ": nothing can be turned around it");
        }
        Profile profile = Profile.of(mesh, turning, rule);
        double largest = 0;
        for (double r : profile.radius) {
            largest = Math.max(largest, r);
        }
        if (!(largest > 0)) {
            throw new IllegalArgumentException(
                    mesh.title() + " has no extent around " + frame.axisName() + ": nothing can be turned around it");
        }
        addHollow(surface.shareFacing(turning), mesh.title(), findings);
        ProfileFit.Poles poles = new ProfileFit.Poles(low == LatheEnd.CLOSED, highEnd == LatheEnd.CLOSED);
        double[] given = heights;
        double[] height = given == null ? new double[rings] : withEnds(given, turning.height());
        int fewest = 2 + (poles.low() ? 1 : 0) + (poles.high() ? 1 : 0);
        if (height.length < fewest) {
            throw new IllegalArgumentException(
                    "rings = " + height.length + " with the ends " + low + " and " + highEnd + " must be at least " + fewest);
        }
        ProfileFit fit;
        if (given == null) {
            fit = ProfileFit.of(profile, turning.height(), rings, poles);
            for (int i = 0; i < rings; i++) {
                height[i] = turning.height() * fit.level[i] / Profile.LEVELS;
            }
        } else {
            double[] level = new double[height.length];
            for (int i = 0; i < level.length; i++) {
                level[i] = height[i] / turning.height() * Profile.LEVELS;
            }
            fit = ProfileFit.at(profile, turning.height(), level, poles);
        }
        return new LatheMesh(turning, sides, seamRadians, height, fit.radius, low, highEnd).build(name(mesh.name()), size,
                gutterTexels.orElse(Math.max(1, size / 128)), findings);
    }

    /** Returns the given direction, or the one that is found. */
    private AxisFrame frame(AxisSearch surface, String title, List<Finding> inoutFindings) {
        AxisFrame given = axis;
        if (given != null) {
            return given;
        }
        AxisSearch.Found found = surface.find();
        if (!found.clear()) {
            inoutFindings.add(Finding.warning("lathe-axis-unclear", 1, title + " is not round about one axis alone: Y was taken",
                    "say which one: lathe(mesh).axis(Y)", List.of()));
        }
        return found.frame();
    }

    private static void addHollow(double facing, String title, List<Finding> inoutFindings) {
        if (facing > HOLLOW) {
            inoutFindings.add(Finding.warning("lathe-hollow", 1,
                    String.format(Locale.ROOT, "%.0f %% of the surface of %s faces the axis: it is hollow there, or inside out",
                            100 * facing, title),
                    "the lathe follows the outside alone: take the inside away, or decimate(mesh) instead", List.of()));
        }
    }

    /** Returns the given heights with both ends, in mesh units. */
    private double[] withEnds(double[] given, double total) {
        String name = fractions ? "heightFractions" : "heights";
        double unit = fractions ? total : 1;
        double[] all = new double[given.length + 2];
        int count = 1;
        for (int i = 0; i < given.length; i++) {
            double h = given[i] * unit;
            if (h > total * (1 + SAME)) {
                throw new IllegalArgumentException(
                        name + "[" + i + "] = " + given[i] + " must be 0 … " + total + ", the height of the mesh");
            }
            if (h <= total * SAME || h >= total * (1 - SAME)) {
                continue;
            }
            if (count > 1 && h - all[count - 1] <= total * SAME) {
                throw new IllegalArgumentException(
                        name + "[" + i + "] = " + given[i] + " must be more than " + SAME * total / unit + " above the one before, "
                                + given[i - 1]);
            }
            all[count++] = h;
        }
        all[count++] = total;
        return Arrays.copyOf(all, count);
    }

    /** A name that ends in -high ends in -low instead, so that parts pair by name. */
    private static String name(String highName) {
        return (highName.endsWith("-high") ? highName.substring(0, highName.length() - 5) : highName) + "-low";
    }
}
