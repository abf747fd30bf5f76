package org.estampage.mesh;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Objects;
import org.estampage.finding.Finding;
import org.estampage.finding.Severity;
import org.estampage.task.Task;
import org.jspecify.annotations.Nullable;

/**
 * A mesh made fit for work on its surface: every edge has one triangle, or two that run through it in opposite directions, and around every vertex the
 * triangles make one fan.
 *
 * <p>In this order: vertices at exactly the same place are welded; triangles that stand on one place twice are dropped; of triangles on the same three
 * places one is kept, of the side that has more, and none if both sides have as many; edges are paired where exactly two triangles meet that run through
 * it in opposite directions, and all others with more than one triangle become borders; each fan of triangles that hang together over paired edges gets a
 * vertex of its own; vertices without triangles are dropped. No place moves, and triangles keep their order, their corners and all that they carry.
 *
 * <p>Fans at one place stay apart only for those who take vertices as triangles name them. Welding by place, as most operations do, joins them again.
 *
 * <p>What was done is told in findings of these kinds: {@code repeated-vertex-dropped}, {@code opposite-triangles-dropped},
 * {@code duplicate-triangles-dropped}, {@code vertices-welded}, {@code non-manifold-edges-split}, {@code inconsistent-winding-split},
 * {@code vertices-split}, {@code unused-vertices-dropped}; and {@code zero-area-kept} for triangles whose three places lie on a line. Their places are
 * points, since numbers of vertices and triangles change.
 *
 * @space the mesh's own
 * @edge a mesh without triangles, and one that needs nothing, is returned as it is: cleaning up twice changes nothing the second time. Of vertices at one
 *       place the lowest number gives the coordinates, −0 and 0 being the same. A polygon that loses a triangle, or is split along a diagonal, becomes the
 *       triangles that are left of it.
 * @threads confined; the same result on any number of threads
 */
public final class Cleanup implements MeshSource {
    private final MeshSource source;
    private boolean cards;
    private Task task = Task.silent();

    private Cleanup(MeshSource source) {
        this.source = source;
    }

    /** Starts the clean-up of a mesh. */
    public static Cleanup of(MeshSource mesh) {
        return new Cleanup(Objects.requireNonNull(mesh, "mesh"));
    }

    /**
     * Keeps one triangle of each side where triangles on the same three places look both ways: thin cards that are meant to be seen from both sides. The
     * two sides become sheets of their own, which meet nowhere, not even along the card's rim.
     */
    public Cleanup cards() {
        cards = true;
        return this;
    }

    /** Sets who hears of progress and can cancel. */
    public Cleanup task(Task value) {
        task = Objects.requireNonNull(value, "value");
        return this;
    }

    /**
     * Returns the mesh, cleaned up, with what was done added to its findings.
     *
     * @throws InvalidMeshException                       if a position is not finite
     * @throws java.util.concurrent.CancellationException if the task was cancelled
     * @cost O(triangles) time; at its peak about 120 bytes a triangle that has three vertices of its own
     */
    @Override
    public Mesh build() {
        return task.recalled(Mesh.class, this, this::clean);
    }

    private Mesh clean() {
        Mesh mesh = source.build();
        if (mesh.triangleCount() == 0) {
            return mesh;
        }
        InvalidMeshException.throwIfAny(MeshCheck.shapeProblems(mesh, mesh.name()));
        return new Work(mesh, cards, task).result();
    }

    /** One clean-up under way. */
    private static final class Work {
        private static final int STEPS = 4;

        private final Mesh mesh;
        private final List<Finding> found = new ArrayList<>();
        private final int[] kept;
        /** The mesh's own vertex of each kept corner. */
        private final int[] old;
        private final int[] fan;
        private final int fanCount;
        /** The lowest of the mesh's vertices in each fan. */
        private final int[] lowest;
        private final boolean same;

        Work(Mesh mesh, boolean cards, Task task) {
            this.mesh = mesh;
            Task.Stage stage = task.stage("cleaning up", STEPS);
            int[] canonical = Welding.canonicalVertices(mesh, task);
            stage.advance(1);
            Coincidence coincidence = new Coincidence(mesh, Welding.cornerVertices(mesh, canonical), cards);
            kept = coincidence.kept();
            coincidence.report(found);
            stage.advance(1);
            old = MeshSubset.picked(mesh.positionIndices(), kept, 3);
            int[] corners = new int[old.length];
            for (int c = 0; c < corners.length; c++) {
                corners[c] = canonical[old[c]];
            }
            Adjacency adjacency = Adjacency.of(corners, canonical.length);
            int[] twin = coincidence.twins();
            if (twin != null) {
                adjacency = CardEdges.apart(adjacency, twin);
            }
            stage.advance(1);
            fan = new int[corners.length];
            fanCount = adjacency.fans(adjacency.borders(), fan);
            lowest = new int[fanCount];
            same = report(adjacency);
            stage.advance(1);
        }

        /** Compares the mesh's vertices with the fans, and returns whether they are the same. */
        private boolean report(Adjacency adjacency) {
            int[] fanOf = new int[mesh.vertexCount()];
            boolean[] split = new boolean[fanOf.length];
            Arrays.fill(fanOf, -1);
            Arrays.fill(lowest, Integer.MAX_VALUE);
            for (int c = 0; c < fan.length; c++) {
                split[old[c]] |= fanOf[old[c]] >= 0 && fanOf[old[c]] != fan[c];
                fanOf[old[c]] = fan[c];
                lowest[fan[c]] = Math.min(lowest[fan[c]], old[c]);
            }
            boolean[] stays = new boolean[fanOf.length];
            for (int v : lowest) {
                stays[v] = true;
            }
            MeshTally welded = new MeshTally(), parted = new MeshTally(), unused = new MeshTally();
            for (int v = 0; v < fanOf.length; v++) {
                if (fanOf[v] < 0) {
                    unused.addVertex(mesh, v);
                } else if (!stays[v]) {
                    welded.addVertex(mesh, v);
                }
                if (split[v]) {
                    parted.addVertex(mesh, v);
                }
            }
            welded.report(found, "vertices-welded", Severity.NOTE, "vertex was welded to another one at the same place",
                    "vertices were welded to others at the same place", "nothing needs to be done");
            reportEdges(adjacency, split);
            parted.report(found, "vertices-split", Severity.NOTE, "vertex held several fans of triangles and was split: one for each",
                    "vertices held several fans of triangles and were split: one for each", "nothing needs to be done");
            unused.report(found, "unused-vertices-dropped", Severity.NOTE, "vertex without triangles was dropped",
                    "vertices without triangles were dropped", "nothing needs to be done");
            reportFlat();
            return welded.isEmpty() && parted.isEmpty() && unused.isEmpty() && kept.length == mesh.triangleCount();
        }

        /** Tells of edges that became borders; those whose vertices already were apart, as after a clean-up, are no news. */
        private void reportEdges(Adjacency adjacency, boolean[] split) {
            boolean[] changed = new boolean[fanCount];
            for (int c = 0; c < fan.length; c++) {
                changed[fan[c]] |= split[old[c]] || old[c] != lowest[fan[c]];
            }
            MeshTally crowded = new MeshTally(), opposing = new MeshTally();
            EdgeRuns runs = adjacency.runs(adjacency.inOrder());
            int[] order = runs.order();
            for (int from = 0, to; from < order.length; from = to) {
                to = runs.endOf(from);
                boolean news = false;
                for (int i = from; i < to; i++) {
                    news |= adjacency.opposite(order[i]) == Adjacency.NON_MANIFOLD
                            && (changed[fan[order[i]]] || changed[fan[Adjacency.next(order[i])]]);
                }
                if (news) {
                    int edge = 3 * kept[order[from] / 3] + order[from] % 3;
                    (to - from == 2 ? opposing : crowded).addEdge(mesh, edge);
                }
            }
            crowded.report(found, "non-manifold-edges-split", Severity.NOTE, "edge joined more than two triangles and became a border",
                    "edges joined more than two triangles and became borders",
                    "nothing, if surfaces are meant to meet there; else separate them at the source");
            opposing.report(found, "inconsistent-winding-split", Severity.WARNING,
                    "edge joined two triangles of which one is turned over, and became a border",
                    "edges joined two triangles of which one is turned over, and became borders",
                    "make the winding consistent at the source");
        }

        /** Tells of triangles that stay though they have no area, once: what is said of the mesh already isn't said again. */
        private void reportFlat() {
            if (!mesh.findings().ofKind("zero-area-kept").isEmpty()) {
                return;
            }
            MeshTally flat = new MeshTally();
            Facet facet = new Facet();
            for (int i = 0; i < kept.length; i++) {
                if (!facet.setNormal(mesh.positions(), old[3 * i], old[3 * i + 1], old[3 * i + 2])) {
                    flat.addTriangle(mesh, kept[i]);
                }
            }
            flat.report(found, "zero-area-kept", Severity.NOTE, "triangle has no area, and stays: its neighbours hang together over it",
                    "triangles have no area, and stay: their neighbours hang together over them", "nothing needs to be done");
        }

        Mesh result() {
            if (same) {
                return found.isEmpty() ? mesh : mesh.toBuilder().findings(found).build();
            }
            int[] number = numbers();
            float[] positions = new float[3 * fanCount];
            for (int f = 0; f < fanCount; f++) {
                System.arraycopy(mesh.positions(), 3 * lowest[f], positions, 3 * number[f], 3);
            }
            int[] corners = new int[fan.length];
            for (int c = 0; c < corners.length; c++) {
                corners[c] = number[fan[c]];
            }
            return MeshSubset.builder(mesh, kept, positions, corners).findings(found).build();
        }

        /** Numbers fans in the order of their lowest vertices, so that a mesh that needs nothing keeps its numbers; of one vertex, by first corners. */
        private int[] numbers() {
            int[] start = new int[mesh.vertexCount() + 1];
            for (int v : lowest) {
                start[v + 1]++;
            }
            for (int v = 0; v < mesh.vertexCount(); v++) {
                start[v + 1] += start[v];
            }
            int[] number = new int[fanCount];
            for (int f = 0; f < fanCount; f++) {
                number[f] = start[lowest[f]]++;
            }
            return number;
        }
    }

    /** Which triangles stay when those on one place twice, and copies and opposites on the same three places, go. */
    private static final class Coincidence {
        private final Mesh mesh;
        private final int[] corners;
        private final boolean cards;
        private final boolean[] drop;
        private final MeshTally repeated = new MeshTally();
        private final MeshTally opposites = new MeshTally();
        private final MeshTally copies = new MeshTally();
        /** Of both triangles of a card, the other one; −1 for all others; null where there are no cards. */
        private int @Nullable [] other;

        Coincidence(Mesh mesh, int[] corners, boolean cards) {
            this.mesh = mesh;
            this.corners = corners;
            this.cards = cards;
            drop = new boolean[mesh.triangleCount()];
            for (int t = 0; t < drop.length; t++) {
                if (Adjacency.repeats(corners, t)) {
                    drop[t] = true;
                    repeated.addTriangle(mesh, t);
                }
            }
            compare();
        }

        private void compare() {
            int[][] sorted = new int[3][drop.length];
            for (int t = 0; t < drop.length; t++) {
                int a = corners[3 * t], b = corners[3 * t + 1], c = corners[3 * t + 2];
                int low = Math.min(a, Math.min(b, c)), high = Math.max(a, Math.max(b, c));
                sorted[0][t] = low;
                sorted[1][t] = a ^ b ^ c ^ low ^ high;
                sorted[2][t] = high;
            }
            int[] first = Welding.canonical(sorted[0], sorted[1], sorted[2]);
            int[] next = new int[drop.length]; // the following one on the same places
            int[] last = new int[drop.length];
            for (int t = 0; t < drop.length; t++) {
                next[t] = -1;
                if (first[t] != t) {
                    next[last[first[t]]] = t;
                }
                last[first[t]] = t;
            }
            for (int t = 0; t < drop.length; t++) {
                if (first[t] == t && next[t] >= 0 && !drop[t]) {
                    settle(t, next);
                }
            }
        }

        /** Decides on all triangles on the places of one, the first of them. */
        private void settle(int first, int[] next) {
            long along = 0, against = 0;
            int opposite = -1;
            for (int t = first; t >= 0; t = next[t]) {
                drop[t] = true;
                if (isAlong(first, t)) {
                    along++;
                } else {
                    against++;
                    opposite = opposite < 0 ? t : opposite;
                }
            }
            if (cards && against > 0) {
                drop[first] = false;
                drop[opposite] = false;
                pair(first, opposite);
                count(copies, first, along + against - 2);
                return;
            }
            if (along != against) {
                drop[along > against ? first : opposite] = false;
            }
            count(opposites, first, 2 * Math.min(along, against));
            count(copies, first, Math.max(0, Math.abs(along - against) - 1));
        }

        private void count(MeshTally tally, int triangle, long number) {
            if (number > 0) {
                tally.addTriangle(mesh, triangle);
                tally.addMore(number - 1);
            }
        }

        private void pair(int a, int b) {
            if (other == null) {
                other = new int[drop.length];
                Arrays.fill(other, -1);
            }
            other[a] = b;
            other[b] = a;
        }

        /** Returns whether two triangles on the same places run around them in the same direction. */
        private boolean isAlong(int s, int t) {
            int k = 0;
            while (corners[3 * t + k] != corners[3 * s]) {
                k++;
            }
            return corners[3 * t + (k + 1) % 3] == corners[3 * s + 1];
        }

        int[] kept() {
            int[] kept = new int[drop.length];
            int count = 0;
            for (int t = 0; t < drop.length; t++) {
                if (!drop[t]) {
                    kept[count++] = t;
                }
            }
            return Arrays.copyOf(kept, count);
        }

        /** Returns for each kept triangle, in kept numbers, the other side of its card, or −1; null where there are no cards. */
        int @Nullable [] twins() {
            if (other == null) {
                return null;
            }
            int[] number = new int[drop.length];
            int[] kept = kept();
            for (int i = 0; i < kept.length; i++) {
                number[kept[i]] = i;
            }
            int[] twins = new int[kept.length];
            for (int i = 0; i < kept.length; i++) {
                twins[i] = other[kept[i]] < 0 ? -1 : number[other[kept[i]]];
            }
            return twins;
        }

        void report(List<Finding> found) {
            repeated.report(found, "repeated-vertex-dropped", Severity.NOTE, "triangle stood on one place twice and was dropped",
                    "triangles stood on one place twice and were dropped", "nothing needs to be done");
            opposites.report(found, "opposite-triangles-dropped", Severity.WARNING,
                    "triangle lay on one that looks the other way; both were dropped",
                    "triangles lay on others that look the other way; both were dropped",
                    "nothing, if they were inner walls; cards that are meant to be seen from both sides stay with cards()");
            copies.report(found, "duplicate-triangles-dropped", Severity.NOTE,
                    "triangle lay on another one that looks the same way, and was dropped",
                    "triangles lay on others that look the same way, and were dropped", "nothing needs to be done");
        }
    }
}
