package org.estampage.bvh;

import java.util.Arrays;
import java.util.List;
import java.util.Random;
import org.estampage.bvh.HemisphereQuery.Distribution;
import org.estampage.internal.kernel.AllocatedBytes;
import org.estampage.internal.kernel.BoxLoops;
import org.estampage.internal.kernel.Kernels;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;

/** A program for a JVM of its own: prints for each query how many bytes a ray or point allocates once the compiler is done. Its arguments are layouts' names. */
final class AllocationProbe {
    /** Not even one byte a ray would do; compilers may still allocate a little on the way in. */
    static final double LITTLE = 0.1;
    private static final int RAYS = 1024;
    private static final int BUILDS = 30;
    /** Lines that are printed for a layout. */
    static final int QUERIES = 5;

    /** An argument that leaves all but nearest points out. */
    static final String NEAREST_ALONE = "nearest alone";

    private AllocationProbe() {
    }

    public static void main(String[] args) {
        Mesh ball = TestMeshes.ball(20, 30, 0.05);
        RayBatch rays = BvhDifferentialTest.rays(new Random(1), ball, RAYS, 1, 0);
        RayBatch ray = BvhDifferentialTest.rays(new Random(2), ball, 1, 1, 0);
        PointBatch points = BvhDifferentialTest.points(new Random(3), RAYS, 1, 0);
        HemisphereBatch hemispheres = StrategyLawsTest.hemispheres(64);
        HemisphereQuery query = new HemisphereQuery(Distribution.COSINE, 64, Float.POSITIVE_INFINITY);
        int drawn = Arrays.stream(hemispheres.count).sum();
        HitBatch hits = new HitBatch(RAYS);
        boolean[] any = new boolean[RAYS];
        // Builders' loops have vectors of their own width, whose counts the compiler sees as well: first they are compiled, as in a bake.
        TreeBuilder builder = new BinnedSahBuilder(Kernels.areVectors() ? BoxLoops.vector() : BoxLoops.scalar());
        for (TreeLayout layout : TestStrategies.layouts()) {
            if (!List.of(args).contains(layout.toString())) {
                continue;
            }
            Strategy strategy = new Strategy(builder, layout);
            for (int i = 0; i < BUILDS; i++) {
                Bvh.build(ball, strategy, Task.silent());
            }
            Bvh tracer = Bvh.build(ball, strategy, Task.silent());
            if (List.of(args).contains(NEAREST_ALONE)) {
                print(strategy, "nearest", RAYS, () -> tracer.nearestPoints(points));
                continue;
            }
            print(strategy, "closest", RAYS, () -> tracer.closestHits(rays, Facing.FRONT, hits));
            print(strategy, "any", RAYS, () -> tracer.anyHits(rays, Facing.BOTH, any));
            print(strategy, "nearest", RAYS, () -> tracer.nearestPoints(points));
            print(strategy, "hemispheres", drawn, () -> tracer.hemispheres(query, hemispheres));
            print(strategy, "single", 2, () -> {
                tracer.closestHits(ray, Facing.BOTH, hits);
                tracer.anyHits(ray, Facing.BOTH, any);
            });
        }
    }

    @SuppressWarnings("SystemOut") // the way back to the JVM that started this one
    private static void print(Strategy strategy, String query, int rays, Runnable call) {
        int calls = 1 + 20_000 / rays;
        double bytes = AllocatedBytes.perThing((long) calls * rays, LITTLE, () -> {
            for (int i = 0; i < calls; i++) {
                call.run();
            }
        });
        System.out.println(bytes + " bytes: " + query + ", " + strategy);
    }
}
