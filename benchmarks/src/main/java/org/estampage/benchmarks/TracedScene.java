package org.estampage.benchmarks;

import org.estampage.bvh.RayTracer;
import org.openjdk.jmh.annotations.Level;
import org.openjdk.jmh.annotations.Param;
import org.openjdk.jmh.annotations.Scope;
import org.openjdk.jmh.annotations.Setup;
import org.openjdk.jmh.annotations.State;

/** A scene and a tracer of it, which was asked a few questions whose answers are known. */
@State(Scope.Benchmark)
public class TracedScene {
    /** Rays of one measured call. */
    static final int RAYS_PER_CALL = 1 << 16;

    /** A carved column of so many triangles, or a mesh that {@code test-resources/fetch} brings. */
    @Param({"column-200000", "column-2000000", "terrain", "bunny", "elephant"})
    public String scene;
    /** How rays are answered. */
    @Param(Contender.USUAL)
    public String strategy;

    RayScene rays;
    RayTracer tracer;

    /** Makes an empty scene; JMH fills it. */
    @SuppressWarnings("NullAway.Init")
    public TracedScene() {
    }

    /**
     * Builds the tracer and compares a few answers with {@link Oracle}.
     *
     * @throws IllegalStateException if an answer is wrong, or the mesh was not fetched
     */
    @Setup(Level.Trial)
    public void build() {
        rays = RayScene.named(scene);
        tracer = Contender.named(strategy).build(rays.mesh());
        AnswerCheck.check(rays, tracer);
    }

    /** Returns the largest batch that the tracer likes and that divides a call's work evenly. */
    int batch(int thingsPerCall) {
        return Integer.highestOneBit(Math.min(tracer.preferredBatchSize(), thingsPerCall));
    }
}
