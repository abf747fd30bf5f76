package org.estampage.lowpoly;

import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import java.util.Objects;
import org.estampage.bvh.Bvh;
import org.estampage.bvh.HemisphereQuery;
import org.estampage.finding.Finding;
import org.estampage.finding.Place;
import org.estampage.mesh.Axis;
import org.estampage.mesh.InvalidMeshException;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.MeshCheck;
import org.estampage.mesh.MeshSource;
import org.estampage.mesh.MeshSubset;
import org.estampage.task.Task;
import org.jspecify.annotations.Nullable;

/**
 * A mesh without what nobody sees from outside: shells within shells, walls within walls, the buried ends of parts that were pushed into one another.
 *
 * <p>The outside stays: a ray that comes from outside meets the same triangle at the same place before and after. That is why only groups go of which no
 * triangle was seen, why each group is tried by some tens of thousands of rays, and why all triangles around what is seen stay with it. Rays
 * are samples: an opening through which less than one in ten thousand of a group's rays finds out may be missed.
 *
 * <p>The inside of a cup, a deep groove, and what shows through a hole are seen. Where a hidden group is cut out of a surface that goes on, an open
 * border is left behind, in a place that nobody sees; a few triangles alone are not cut out. A triangle is seen from its back as well as from its
 * front: winding does not count.
 *
 * @space the mesh's own
 * @edge triangles without area see nothing: they go with the group that they hang on, alone they stay. A mesh of which nothing is hidden is returned as it
 *       is; else vertices that no triangle uses are dropped.
 * @threads confined; {@link #build} works on the caller's fork-join pool or the common one and gives the same bits on any number of threads
 */
public final class HiddenParts implements MeshSource {
    /** The largest share that {@link #openness} takes. */
    public static final double MOST_OPENNESS = 0.25;

    private final MeshSource source;
    private double openness;
    private @Nullable Axis up;
    private Task task = Task.silent();

    private HiddenParts(MeshSource source) {
        this.source = source;
    }

    /** Starts taking the hidden parts of a mesh away. */
    public static HiddenParts of(MeshSource mesh) {
        return new HiddenParts(Objects.requireNonNull(mesh, "mesh"));
    }

    /**
     * Lets what is hardly seen go, too: a triangle counts as hidden if no more than such a share of the lines that could meet it comes from outside. The
     * outside changes where one looks in through chinks. Try 0.03 on scans whose inside shows through many small ones.
     *
     * @throws IllegalArgumentException if the share is outside 0 … {@value #MOST_OPENNESS}
     */
    public HiddenParts openness(double share) {
        if (!(share >= 0 && share <= MOST_OPENNESS)) {
            throw new IllegalArgumentException("openness = " + share + " must be 0 … " + MOST_OPENNESS);
        }
        openness = share;
        return this;
    }

    /**
     * Stands the mesh on the ground at its lowest place: nobody looks from below, as into a scan that is open where it stood. A flat underside goes, too.
     *
     * @param axis the axis that points up
     */
    public HiddenParts onGround(Axis axis) {
        up = Objects.requireNonNull(axis, "axis");
        return this;
    }

    /** Sets who hears of progress and can cancel. */
    public HiddenParts task(Task value) {
        task = Objects.requireNonNull(value, "value");
        return this;
    }

    /**
     * Returns the mesh without its hidden parts. A finding says how many triangles went, and where.
     *
     * @throws InvalidMeshException                       if a position is not finite
     * @throws java.util.concurrent.CancellationException if the task was cancelled
     * @cost building a ray tree, some ten rays a triangle that is seen, at least 128 a triangle that goes
     */
    @Override
    public Mesh build() {
        return task.recalled(Mesh.class, this, this::seen);
    }

    private Mesh seen() {
        Mesh mesh = source.build();
        if (mesh.triangleCount() == 0) {
            return mesh;
        }
        InvalidMeshException.throwIfAny(MeshCheck.shapeProblems(mesh, mesh.name()));
        Sight sight = new Sight(mesh, Bvh.build(mesh, task), lines(mesh), openness);
        HiddenSearch.Groups hidden = new HiddenSearch(mesh, sight, openness == 0, task).groups();
        int[] going = hidden.triangles();
        if (going.length == 0 || going.length == mesh.triangleCount()) {
            return mesh;
        }
        return MeshSubset.of(mesh, others(going, mesh.triangleCount())).toBuilder().findings(List.of(finding(mesh, hidden))).build();
    }

    private HemisphereQuery lines(Mesh mesh) {
        // How many is said by each entry of a batch.
        HemisphereQuery lines = new HemisphereQuery(HemisphereQuery.Distribution.COSINE, 1, Float.POSITIVE_INFINITY);
        return up == null ? lines : lines.above(new HemisphereQuery.Ground(up, mesh.bounds().min(up)));
    }

    private static int[] others(int[] going, int triangleCount) {
        int[] staying = new int[triangleCount - going.length];
        int next = 0;
        int count = 0;
        for (int t = 0; t < triangleCount; t++) {
            if (next < going.length && going[next] == t) {
                next++;
            } else {
                staying[count++] = t;
            }
        }
        return staying;
    }

    private record Group(int first, int size, boolean isCutOut) {
    }

    private static Finding finding(Mesh mesh, HiddenSearch.Groups hidden) {
        List<Group> groups = new ArrayList<>();
        boolean[] listed = new boolean[mesh.vertexCount()];
        int[] going = hidden.triangles();
        for (int i = 0; i < going.length; i++) {
            int group = hidden.groupOf(i);
            if (!listed[group]) {
                listed[group] = true;
                groups.add(new Group(going[i], hidden.size(group), hidden.isCutOut(group)));
            }
        }
        groups.sort(Comparator.comparingInt((Group group) -> -group.size).thenComparingInt(Group::first));
        long walls = groups.stream().filter(Group::isCutOut).count();
        List<Place> places = new ArrayList<>();
        for (Group group : groups.subList(0, Math.min(Finding.MAX_PLACES, groups.size()))) {
            places.add(middle(mesh, group.first));
        }
        return Finding.note("hidden-parts-taken-away", going.length,
                mesh.name() + ": " + going.length + " of " + mesh.triangleCount() + " triangles were hidden inside and were taken away: "
                        + (groups.size() - walls) + " whole pieces, " + walls + " parts of pieces",
                "nothing needs to be done; where a part was cut out, an open border is left inside", places);
    }

    private static Place middle(Mesh mesh, int triangle) {
        double[] place = new double[3];
        Samples.at(triangle, 1 / 3.0, 1 / 3.0, mesh.positions(), 3, mesh.positionIndices(), place);
        return new Place.Point((float) place[0], (float) place[1], (float) place[2]);
    }
}
