package org.estampage.mesh;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import java.util.Arrays;
import java.util.List;
import java.util.concurrent.CancellationException;
import java.util.function.BiFunction;
import org.estampage.task.Cancellation;
import org.estampage.task.MemoryBudget;
import org.estampage.task.Progress;
import org.estampage.task.Task;
import org.junit.jupiter.api.Test;

/** Steps of the way to a mesh's normals: each hears that its task was cancelled, and gives what it gives without one. */
class CancelledMeshWorkTest {
    private static final Mesh MESH = TestShapes.sphere(12, 20);
    private static final List<BiFunction<Mesh, Task, Object>> WORK = List.of(Welding::canonicalVertices,
            (mesh, task) -> Adjacency.of(mesh, Welding.canonicalVertices(mesh), task).opposite(),
            (mesh, task) -> Normals.shading(mesh, task).normals().orElseThrow().values());

    @Test
    void cancelledTask_isHeard() {
        Task task = new Task(Progress.none(), new Cancellation(), MemoryBudget.ofHeap());
        task.cancellation().cancel();
        for (BiFunction<Mesh, Task, Object> work : WORK) {
            assertThatThrownBy(() -> work.apply(MESH, task)).isInstanceOf(CancellationException.class);
        }
    }

    @Test
    void withATask_comesWhatComesWithoutOne() {
        Task task = Task.silent();
        int[] welded = Welding.canonicalVertices(MESH, task);
        assertThat(welded).isEqualTo(Welding.canonicalVertices(MESH));
        assertThat(Adjacency.of(MESH, welded, task).opposite()).isEqualTo(Adjacency.of(MESH).opposite());
        assertThat(Arrays.equals(Normals.shading(MESH, task).normals().orElseThrow().values(),
                Normals.shading(MESH).normals().orElseThrow().values())).isTrue();
    }

    @Test
    void stepOfALoop_isLookedAtFirst_andThenNowAndThen() {
        Cancellation cancellation = new Cancellation();
        Task task = new Task(Progress.none(), cancellation, MemoryBudget.ofHeap());
        cancellation.cancel();
        assertThatThrownBy(() -> task.check(0)).isInstanceOf(CancellationException.class);
        task.check(1);
        assertThatThrownBy(() -> {
            for (int step = 1; step <= 100_000; step++) {
                task.check(step);
            }
        }).isInstanceOf(CancellationException.class);
    }
}
