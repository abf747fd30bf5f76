package org.estampage.bake;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.Collections;
import java.util.List;
import java.util.Set;
import java.util.concurrent.CancellationException;
import java.util.concurrent.ConcurrentHashMap;
import java.util.concurrent.CountDownLatch;
import java.util.concurrent.Executor;
import java.util.concurrent.ExecutorService;
import java.util.concurrent.Executors;
import java.util.concurrent.Future;
import java.util.concurrent.RejectedExecutionException;
import java.util.concurrent.TimeUnit;
import org.estampage.cage.Cage;
import org.estampage.image.Pixels;
import org.estampage.maps.HeightMap;
import org.estampage.maps.NormalMap;
import org.estampage.maps.OcclusionMap;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;

/** Bakes on threads of others, several at once, and what is seen of them while they run. */
@Timeout(60)
class ExecutorTest {
    private static final Mesh LOW = Patches.flat(2, 0.1);

    private static BakeJob job(double frequency) {
        Mesh high = Patches.grid(24, 0, (x, z) -> 0.1 * Math.sin(frequency * x) * Math.cos(4 * z));
        return BakeJob.of(Cage.offset(LOW, 0.5), high).size(64)
                .maps(NormalMap.create(), HeightMap.create(), OcclusionMap.create(16)).build();
    }

    private static void assertSameMaps(BakeResult actual, BakeResult expected) {
        for (BakedMap map : expected.maps()) {
            assertThat(Arrays.mismatch(Pixels.toFloats(actual.map(map.name())), Pixels.toFloats(map.image()))).as(map.name()).isEqualTo(-1);
        }
    }

    @Test
    void executor_doesTheWork_besideTheCaller_andGivesTheSame() {
        BakeResult alone = Baker.create().threads(1).bake(job(5), Task.silent());
        Thread caller = Thread.currentThread();
        Set<Thread> workers = ConcurrentHashMap.newKeySet();
        // The first who comes waits for the other kind, so that neither can finish all the blocks before the other has begun.
        CountDownLatch callerCame = new CountDownLatch(1);
        CountDownLatch studioCame = new CountDownLatch(1);
        try (ExecutorService pool = Executors.newFixedThreadPool(3, Thread.ofPlatform().name("studio-", 0).factory())) {
            BakeResult result = Baker.create().threads(4).blockSide(4).executor(pool).blocks(block -> {
                workers.add(Thread.currentThread());
                boolean atHome = Thread.currentThread() == caller;
                (atHome ? callerCame : studioCame).countDown();
                assertThat(await(atHome ? studioCame : callerCame)).as("the other kind of worker came").isTrue();
            }).bake(job(5), Task.silent());
            assertSameMaps(result, alone);
        }
        assertThat(workers).contains(caller).allMatch(worker -> worker == caller || worker.getName().startsWith("studio-"))
                .hasSizeGreaterThan(1);
    }

    private static boolean await(CountDownLatch latch) {
        try {
            return latch.await(30, TimeUnit.SECONDS);
        } catch (InterruptedException e) {
            throw new IllegalStateException(e);
        }
    }

    @Test
    void executorWithoutAFreeThread_orThatRefuses_leavesTheWorkToTheCaller() throws Exception {
        BakeResult alone = Baker.create().bake(job(5), Task.silent());
        Executor refuses = work -> {
            throw new RejectedExecutionException("full");
        };
        assertSameMaps(Baker.create().threads(4).executor(refuses).bake(job(5), Task.silent()), alone);
        Executor forgets = work -> {
        };
        assertSameMaps(Baker.create().threads(4).executor(forgets).bake(job(5), Task.silent()), alone);
        // From within its only thread.
        try (ExecutorService single = Executors.newSingleThreadExecutor()) {
            Future<BakeResult> baked = single.submit(() -> Baker.create().threads(4).executor(single).bake(job(5), Task.silent()));
            assertSameMaps(baked.get(30, TimeUnit.SECONDS), alone);
        }
    }

    @Test
    void twoBakesAtOnce_giveWhatTheyGiveAlone() throws Exception {
        List<BakeResult> alone = new ArrayList<>();
        for (double frequency : new double[] {3, 7}) {
            alone.add(Baker.create().bake(job(frequency), Task.silent()));
        }
        try (ExecutorService callers = Executors.newFixedThreadPool(2); ExecutorService shared = Executors.newFixedThreadPool(2)) {
            for (int round = 0; round < 3; round++) {
                Baker baker = round == 0 ? Baker.create() : Baker.create().threads(3).executor(shared);
                List<Future<BakeResult>> both = new ArrayList<>();
                for (double frequency : new double[] {3, 7}) {
                    both.add(callers.submit(() -> baker.bake(job(frequency), Task.silent())));
                }
                for (int i = 0; i < 2; i++) {
                    assertSameMaps(both.get(i).get(30, TimeUnit.SECONDS), alone.get(i));
                }
            }
        }
    }

    @Test
    void blocks_coverEveryTexelOnce_withItsValues() {
        BakeJob job = job(5).toBuilder().padding(0).build();
        List<BakedBlockCopy> blocks = Collections.synchronizedList(new ArrayList<>());
        BakeResult result = Baker.create().threads(2).blockSide(24).blocks(block -> blocks.add(BakedBlockCopy.of(block))).bake(job,
                Task.silent());
        int[] seen = new int[64 * 64];
        float[] normals = new float[3 * 64 * 64];
        for (BakedBlockCopy block : blocks) {
            for (int i = 0; i < block.width * block.height; i++) {
                int at = (block.y + i / block.width) * 64 + block.x + i % block.width;
                seen[at]++;
                System.arraycopy(block.normals, 3 * i, normals, 3 * at, 3);
                assertThat(block.hit[i]).isEqualTo(result.hit().get(at % 64, at / 64));
            }
        }
        assertThat(seen).containsOnly(1);
        assertThat(Arrays.mismatch(normals, Pixels.toFloats(result.map("normal")))).isEqualTo(-1);
    }

    /** What a block said while it could be asked. */
    private static final class BakedBlockCopy {
        final int x;
        final int y;
        final int width;
        final int height;
        final float[] normals;
        final boolean[] hit;

        private BakedBlockCopy(BakedBlock block) {
            x = block.x();
            y = block.y();
            width = block.width();
            height = block.height();
            normals = block.values("normal", new float[3 * width * height]);
            hit = block.hit(new boolean[width * height]);
        }

        static BakedBlockCopy of(BakedBlock block) {
            assertThat(block.maps()).containsExactly("normal", "height", "occlusion");
            assertThat(block.tile().number()).isEqualTo(1001);
            assertThatThrownBy(() -> block.values("gloss", new float[9999])).hasMessageContaining("[normal, height, occlusion]");
            assertThatThrownBy(() -> block.hit(new boolean[3])).hasMessageContaining("3 entries");
            return new BakedBlockCopy(block);
        }
    }

    @Test
    void listenerThatFails_endsTheBake_withItsOwnException() {
        Baker baker = Baker.create().threads(2).blocks(block -> {
            throw new IllegalStateException("the window is gone");
        });
        assertThatThrownBy(() -> baker.bake(job(5), Task.silent())).isInstanceOf(IllegalStateException.class)
                .hasMessage("the window is gone");
    }

    @Test
    void interruptOfTheCaller_cancelsOnAnExecutor_too() {
        Thread.currentThread().interrupt();
        assertThatThrownBy(() -> Baker.create().threads(2).executor(Runnable::run).bake(job(5), Task.silent()))
                .isInstanceOf(CancellationException.class);
        assertThat(Thread.interrupted()).isTrue();
    }
}
