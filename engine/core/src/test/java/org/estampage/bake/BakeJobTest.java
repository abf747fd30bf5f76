package org.estampage.bake;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import java.util.concurrent.atomic.AtomicInteger;
import org.estampage.bvh.Bvh;
import org.estampage.cage.Cage;
import org.estampage.cage.CageFit;
import org.estampage.cage.CageSource;
import org.estampage.maps.HeightMap;
import org.estampage.maps.NormalMap;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;
import org.junit.jupiter.api.Test;

class BakeJobTest {
    private static final Mesh LOW = Patches.flat(1, 0.1).toBuilder().name("post-low").build();
    private static final Mesh HIGH = Patches.grid(6, 0, (x, z) -> 0.05 * Math.sin(3 * x)).toBuilder().name("post").build();

    @Test
    void cageThatIsStillToBeFitted_isFittedOnce_andKnowsTheLowPoly() {
        AtomicInteger fits = new AtomicInteger();
        CageSource source = () -> {
            fits.incrementAndGet();
            return CageFit.around(LOW, HIGH).build();
        };
        BakeJob of = BakeJob.of(source, HIGH).maps(NormalMap.create()).build();
        BakeJob set = BakeJob.of(LOW, HIGH).cage(source).maps(NormalMap.create()).build();
        assertThat(fits).hasValue(2);
        assertThat(of.low()).isSameAs(LOW);
        String fitted = CageFit.around(LOW, HIGH).build().toString();
        assertThat(of.cage().orElseThrow()).hasToString(fitted);
        assertThat(set.cage().orElseThrow()).hasToString(fitted);
    }

    @Test
    void cageOfAnotherMesh_isRefused() {
        CageSource other = () -> Cage.offset(Patches.flat(2, 0.1), 0.2);
        assertThatThrownBy(() -> BakeJob.of(LOW, HIGH).cage(other)).isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining("post-low");
    }

    @Test
    void jobAndBaker_sayWhatTheyAre_inOneLine() {
        BakeJob.Builder job = BakeJob.of(LOW, HIGH, Patches.flat(2, 0).toBuilder().name("rope").build()).size(64, 32).samples(3)
                .maps(NormalMap.create(), HeightMap.create());
        assertThat(job.build())
                .hasToString("bake of post-low from post, rope: normal, height at 64 × 32 texels of 3 × 3 samples, cage to be fitted");
        assertThat(job.cage(Cage.offset(LOW, 0.2)).build().toString()).contains("samples, cage around post-low: 4 vertices, 0.2000 out");
        assertThat(Baker.create().threads(1).blockSide(8)).hasToString("baker: 1 thread, blocks of 8 × 8 texels");
        assertThat(Baker.create().threads(2).tracer(HIGH, Bvh.build(HIGH, Task.silent()))).asString()
                .isEqualTo("baker: 2 threads, blocks of 32 × 32 texels, a tracer of " + HIGH.triangleCount() + " triangles");
    }
}
