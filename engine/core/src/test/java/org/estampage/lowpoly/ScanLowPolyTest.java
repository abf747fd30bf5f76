package org.estampage.lowpoly;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.estampage.lowpoly.LowPolyShapes.mesh;
import static org.junit.jupiter.api.Assumptions.assumeTrue;

import java.io.IOException;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.HashMap;
import java.util.HashSet;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import java.util.concurrent.CancellationException;
import java.util.concurrent.ForkJoinPool;
import org.estampage.finding.Finding;
import org.estampage.io.MeshFiles;
import org.estampage.mesh.Axis;
import org.estampage.mesh.Cleanup;
import org.estampage.mesh.Mesh;
import org.estampage.task.Cancellation;
import org.estampage.task.MemoryBudget;
import org.estampage.task.Progress;
import org.estampage.task.Task;
import org.estampage.testresources.DirtyShapes;
import org.estampage.testresources.EncrustedBollard;
import org.estampage.testresources.FetchedMeshes;
import org.estampage.testresources.Shape;
import org.junit.jupiter.api.Test;

class ScanLowPolyTest {
    @Test
    void dirtyScan_becomesAWholeLowPoly_andEachStepIsTold() {
        Mesh scan = dirtyScan();
        Mesh low = ScanLowPoly.of(scan).triangles(1200).build();
        assertThat(low.triangleCount()).isBetween(1100, 1200);
        assertThat(flaws(low)).isEmpty();
        List<String> kinds = low.findings().stream().map(Finding::kind).toList();
        assertThat(kinds).contains("vertices-welded", "duplicate-triangles-dropped", "opposite-triangles-dropped",
                "non-manifold-edges-split", "hidden-parts-taken-away");
        assertThat(low.findings().ofKind("duplicate-triangles-dropped").get(0).count()).isEqualTo(3);
        assertThat(low.name()).isEqualTo("encrusted-low");
    }

    @Test
    void steps_oneAfterTheOther_giveTheSame() {
        Mesh scan = dirtyScan();
        Mesh clean = HiddenParts.of(Cleanup.of(scan)).build();
        Mesh low = Cleanup.of(Decimate.of(clean).withoutWelding().triangles(900)).build();
        assertThat(ScanLowPoly.of(scan).triangles(900).build().sameAs(low)).isTrue();
    }

    @Test
    void hiddenParts_takeNoTrianglesFromWhatIsSeen() {
        Mesh scan = dirtyScan();
        Mesh all = ScanLowPoly.of(scan).keepHidden().triangles(1200).build();
        Mesh seen = ScanLowPoly.of(scan).triangles(1200).build();
        assertThat(all.findings().ofKind("hidden-parts-taken-away")).isEmpty();
        // With the same number the outside comes out closer: measured where rays from outside meet the scan.
        Mesh outside = HiddenParts.of(Cleanup.of(scan)).build();
        double withHidden = SurfaceDistance.between(outside, all, 20_000, Task.silent()).mean();
        double without = SurfaceDistance.between(outside, seen, 20_000, Task.silent()).mean();
        assertThat(without).isLessThan(0.95 * withHidden);
    }

    @Test
    void errorBound_holdsForWhatIsLeft() {
        Mesh scan = dirtyScan();
        Mesh outside = HiddenParts.of(Cleanup.of(scan)).build();
        Mesh low = ScanLowPoly.of(scan).error(0.004).build();
        assertThat(flaws(low)).isEmpty();
        assertThat(low.triangleCount()).isLessThan(outside.triangleCount() / 2);
        // Distances and places are rounded to floats: a millionth of the size, which is about 1.
        assertThat(SurfaceDistance.bothWays(outside, low).largest()).isLessThan(0.004 + 1e-6);
    }

    @Test
    void bunny_isAsGoodAsByDecimationAlone() throws IOException {
        Optional<Path> file = FetchedMeshes.bunny();
        assumeTrue(file.isPresent(), "not fetched");
        Mesh scan = MeshFiles.read(file.get(), Task.silent());
        Mesh low = ScanLowPoly.of(scan).triangles(3000).build();
        assertThat(low.triangleCount()).isBetween(2999, 3000);
        assertThat(low.findings().ofKind("hidden-parts-taken-away")).isEmpty(); // nothing of it is hidden
        assertThat(flaws(low)).isEmpty();
        assertThat(low.positions()).isEqualTo(Decimate.of(scan).triangles(3000).build().positions());
    }

    @Test
    void anyNumberOfThreads_givesTheSameBits() {
        Mesh scan = dirtyScan();
        Mesh common = ScanLowPoly.of(scan).triangles(800).build();
        for (int threads = 1; threads <= 2; threads++) {
            try (ForkJoinPool pool = new ForkJoinPool(threads)) {
                assertThat(pool.submit(() -> ScanLowPoly.of(scan).triangles(800).build()).join().sameAs(common)).isTrue();
            }
        }
    }

    @Test
    void mistakes_areNamed() {
        Mesh scan = dirtyScan();
        assertThatThrownBy(() -> ScanLowPoly.of(scan).build()).isInstanceOf(IllegalStateException.class)
                .hasMessageContaining("neither triangles nor error");
        assertThatThrownBy(() -> ScanLowPoly.of(scan).triangles(0)).isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining("triangles = 0");
        assertThatThrownBy(() -> ScanLowPoly.of(scan).keepHidden().onGround(Axis.Y)).isInstanceOf(IllegalStateException.class)
                .hasMessageContaining("onGround after keepHidden()");
        assertThatThrownBy(() -> ScanLowPoly.of(scan).openness(0.03).keepHidden()).isInstanceOf(IllegalStateException.class);
        Cancellation cancelled = new Cancellation();
        cancelled.cancel();
        Task task = new Task(Progress.none(), cancelled, MemoryBudget.ofHeap());
        assertThatThrownBy(() -> ScanLowPoly.of(scan).triangles(100).task(task).build()).isInstanceOf(CancellationException.class);
    }

    /** Barnacles in iron, three triangles twice, an inner wall of coincident pairs, fins, no welding. */
    private static Mesh dirtyScan() {
        Shape parts = EncrustedBollard.generate(8_000, 12, 3);
        Shape dirty = DirtyShapes.withCopies(parts, 5, 500, 5_000);
        dirty = DirtyShapes.withOppositePairs(dirty, 10, 200, 3_000, 11, 300, 2_000);
        dirty = DirtyShapes.withFins(dirty, 0.01, 300, 6_000, 12_000);
        return mesh(DirtyShapes.unwelded(dirty)).toBuilder().name("encrusted-high").build();
    }

    /** Returns what is wrong with a low poly's surface, by its vertex numbers and, for coincident triangles, by places; plain counting. */
    private static Set<String> flaws(Mesh mesh) {
        Set<String> flaws = new HashSet<>();
        int[] t = mesh.positionIndices();
        Map<Long, Integer> directed = new HashMap<>();
        Set<List<List<Float>>> places = new HashSet<>();
        Map<Integer, List<int[]>> around = new HashMap<>();
        for (int f = 0; f < t.length; f += 3) {
            List<List<Float>> corners = new ArrayList<>();
            for (int k = 0; k < 3; k++) {
                int a = t[f + k], b = t[f + (k + 1) % 3], c = t[f + (k + 2) % 3];
                directed.merge((long) a << 32 | b, 1, Integer::sum);
                around.computeIfAbsent(a, v -> new ArrayList<>()).add(new int[] {b, c});
                corners.add(List.of(mesh.positions()[3 * a], mesh.positions()[3 * a + 1], mesh.positions()[3 * a + 2]));
            }
            corners.sort((p, q) -> Arrays.compare(floats(p), floats(q)));
            if (!places.add(corners)) {
                flaws.add("coincident triangles");
            }
            if (new HashSet<>(corners).size() < 3) {
                flaws.add("a place twice");
            }
        }
        if (directed.values().stream().anyMatch(count -> count > 1)) {
            flaws.add("an edge twice in one direction");
        }
        for (List<int[]> fan : around.values()) {
            // One fan: its triangles follow each other, end to start, from one with no one before it, or around.
            Map<Integer, int[]> byStart = new HashMap<>();
            Set<Integer> ends = new HashSet<>();
            fan.forEach(edge -> byStart.put(edge[0], edge));
            fan.forEach(edge -> ends.add(edge[1]));
            int at = fan.stream().map(edge -> edge[0]).filter(start -> !ends.contains(start)).findFirst().orElse(fan.get(0)[0]);
            int steps = 0;
            while (byStart.containsKey(at) && steps < fan.size()) {
                at = byStart.get(at)[1];
                steps++;
            }
            if (steps != fan.size() || byStart.size() != fan.size()) {
                flaws.add("a vertex of several fans");
            }
        }
        return flaws;
    }

    private static float[] floats(List<Float> place) {
        return new float[] {place.get(0), place.get(1), place.get(2)};
    }
}
