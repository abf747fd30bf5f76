package org.estampage.lowpoly;

import java.util.Arrays;
import org.estampage.internal.kernel.DisjointSets;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.Welding;
import org.estampage.task.Task;

/**
 * Which triangles of a mesh nobody sees from outside, and hang together in groups that can go.
 *
 * <p>A triangle that is seen by any of its rays stays, and so do those that share a vertex with it: so a triangle of which only a corner peeps out, where
 * rays are few, and one that is by chance unseen among seen ones, stay. What is left falls into groups that hang together by vertices. A group that hangs
 * on staying triangles must have {@value #FEWEST_CUT_OUT} triangles, or the hole isn't worth it.
 *
 * <p>Then each group is put to the test as a whole, by rays that are new: those that chose it can't speak against it. Where any of them is seen, it stays
 * with what is around it, and the next test keeps twice as many rings of triangles; a deep groove, every triangle of which is seen by one line of
 * thousands, is kept whole after a few tests, while of a wall behind a chink only the mouth stays.
 *
 * @threads confined
 */
final class HiddenSearch {
    /** The fewest triangles that are cut out of a surface that goes on. */
    static final int FEWEST_CUT_OUT = 8;
    /** How many rays a group sends from each side in a test, if {@link #MOST_RAYS} a triangle are enough for that. */
    static final int GROUP_RAYS = 1 << 15;
    private static final int MOST_RAYS = 1 << 12;
    /** What each triangle sends at the least, once to become a member of a group and once in each test. */
    private static final int LEAST_RAYS = 32;
    // Most of the outside is seen by the first few rays.
    private static final int[] ROUNDS = {4, 12, LEAST_RAYS};

    private final int[] corners;
    private final int vertexCount;
    private final Sight sight;
    private final Task task;
    private final boolean[] stays;
    private Groups groups;

    /**
     * Searches.
     *
     * @param aRayIsEnough whether a single open ray makes a triangle seen, so that it need not send the others
     */
    HiddenSearch(Mesh mesh, Sight sight, boolean aRayIsEnough, Task task) {
        int[] canonical = Welding.canonicalVertices(mesh, task);
        corners = mesh.positionIndices().clone();
        for (int c = 0; c < corners.length; c++) {
            corners[c] = canonical[corners[c]];
        }
        vertexCount = canonical.length;
        this.sight = sight;
        this.task = task;
        stays = new boolean[mesh.triangleCount()];
        for (int rays : aRayIsEnough ? ROUNDS : new int[] {LEAST_RAYS}) {
            int[] unsure = going();
            int[] all = new int[unsure.length];
            Arrays.fill(all, rays);
            sight.look(unsure, all, task);
            keepSeen(unsure, 1);
        }
        followSight(aRayIsEnough);
        groups = new Groups();
        groups.putToTheTest();
        for (int rings = 1; keepSeen(groups.going, rings); rings *= 2) {
            followSight(aRayIsEnough);
            groups = new Groups();
            groups.putToTheTest();
        }
    }

    /** Returns the groups that can go. */
    Groups groups() {
        return groups;
    }

    /** Returns the triangles that may go, as far as is known. */
    private int[] going() {
        int[] out = new int[stays.length];
        int count = 0;
        for (int t = 0; t < stays.length; t++) {
            if (!stays[t]) {
                out[count++] = t;
            }
        }
        return Arrays.copyOf(out, count);
    }

    /** Keeps those of some triangles that are seen, and so many rings of triangles around them. Returns whether there are any. */
    private boolean keepSeen(int[] triangles, int rings) {
        boolean[] kept = new boolean[stays.length];
        boolean any = false;
        for (int t : triangles) {
            kept[t] = sight.sees(t);
            any |= kept[t];
        }
        boolean grows = any;
        for (int ring = 0; ring < rings && grows; ring++) {
            boolean[] touched = touched(kept);
            grows = false;
            for (int t = 0; t < kept.length; t++) {
                if (!kept[t] && (touched[corners[3 * t]] || touched[corners[3 * t + 1]] || touched[corners[3 * t + 2]])) {
                    kept[t] = true;
                    grows = true;
                }
            }
        }
        for (int t = 0; t < kept.length; t++) {
            stays[t] |= kept[t];
        }
        return any;
    }

    /**
     * Lets unseen triangles look where a seen one at the same vertex sees the outside, and then those around them, until no more is seen; keeps what is.
     *
     * @param aRayIsEnough whether one such ray is enough to be seen; else nothing is done
     */
    private void followSight(boolean aRayIsEnough) {
        if (!aRayIsEnough) {
            return;
        }
        int[] guide = new int[vertexCount]; // a triangle at the vertex that sees, or −1
        boolean[] isNew = new boolean[vertexCount];
        Arrays.fill(guide, -1);
        int[] unseen = new int[stays.length];
        int count = 0;
        for (int t = 0; t < stays.length; t++) {
            if (sight.sees(t)) {
                lead(t, guide, isNew);
            } else {
                unseen[count++] = t;
            }
        }
        unseen = Arrays.copyOf(unseen, count);
        for (boolean grows = true; grows;) {
            int[] near = Arrays.stream(unseen)
                    .filter(t -> isNew[corners[3 * t]] || isNew[corners[3 * t + 1]] || isNew[corners[3 * t + 2]]).toArray();
            int[] guides = new int[3 * near.length];
            Arrays.setAll(guides, i -> guide[corners[3 * near[i / 3] + i % 3]]);
            sight.follow(near, guides, task);
            Arrays.fill(isNew, false);
            for (int t : near) {
                if (sight.sees(t)) {
                    lead(t, guide, isNew);
                }
            }
            grows = keepSeen(near, 1);
            unseen = Arrays.stream(unseen).filter(t -> !sight.sees(t)).toArray();
        }
    }

    private void lead(int seen, int[] guide, boolean[] isNew) {
        for (int c = 3 * seen; c < 3 * seen + 3; c++) {
            guide[corners[c]] = seen;
            isNew[corners[c]] = true;
        }
    }

    /** Returns for each vertex whether one of some triangles stands on it. */
    private boolean[] touched(boolean[] triangles) {
        boolean[] touched = new boolean[vertexCount];
        for (int c = 0; c < corners.length; c++) {
            touched[corners[c]] |= triangles[c / 3];
        }
        return touched;
    }

    /** The groups of what can go, each named by its lowest vertex. */
    final class Groups {
        private final int[] going;
        private final int[] groupOf;
        private final int[] size = new int[vertexCount];
        private final boolean[] isCutOut = new boolean[vertexCount];

        private Groups() {
            int[] all = going();
            DisjointSets sets = new DisjointSets(vertexCount);
            for (int t : all) {
                sets.join(corners[3 * t], corners[3 * t + 1]);
                sets.join(corners[3 * t], corners[3 * t + 2]);
            }
            boolean[] border = touched(stays);
            boolean[] hasLooked = new boolean[vertexCount];
            for (int t : all) {
                int group = sets.find(corners[3 * t]);
                size[group]++;
                hasLooked[group] |= sight.sent(t) > 0;
                for (int c = 3 * t; c < 3 * t + 3; c++) {
                    isCutOut[group] |= border[corners[c]];
                }
            }
            int count = 0;
            int[] kept = new int[all.length];
            for (int t : all) {
                int group = sets.find(corners[3 * t]);
                if (hasLooked[group] && (!isCutOut[group] || size[group] >= FEWEST_CUT_OUT)) {
                    kept[count++] = t;
                } else {
                    stays[t] = true;
                }
            }
            going = Arrays.copyOf(kept, count);
            groupOf = new int[count];
            Arrays.setAll(groupOf, i -> sets.find(corners[3 * going[i]]));
        }

        /** Returns the triangles of all groups, in ascending order; not to be changed. */
        int[] triangles() {
            return going;
        }

        /** Returns the group that the i-th triangle is in. */
        int groupOf(int i) {
            return groupOf[i];
        }

        /** Returns how many triangles a group has. */
        int size(int group) {
            return size[group];
        }

        /** Returns whether a group hangs on triangles that stay; others are whole pieces. */
        boolean isCutOut(int group) {
            return isCutOut[group];
        }

        /** Lets every group send new rays. */
        private void putToTheTest() {
            int[] rays = new int[going.length];
            for (int i = 0; i < rays.length; i++) {
                int share = (GROUP_RAYS + size[groupOf[i]] - 1) / size[groupOf[i]];
                int places = (share + Sight.RAYS_A_PLACE - 1) / Sight.RAYS_A_PLACE;
                rays[i] = sight.sent(going[i]) + Math.clamp(places * (long) Sight.RAYS_A_PLACE, LEAST_RAYS, MOST_RAYS);
            }
            sight.look(going, rays, task);
        }
    }
}
