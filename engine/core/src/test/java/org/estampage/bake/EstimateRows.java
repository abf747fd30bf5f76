package org.estampage.bake;

import java.lang.management.ManagementFactory;
import java.lang.management.MemoryPoolMXBean;
import java.lang.management.MemoryType;
import java.lang.management.MemoryUsage;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.concurrent.atomic.AtomicBoolean;
import java.util.concurrent.locks.LockSupport;
import org.estampage.cage.Cage;
import org.estampage.lowpoly.Lathe;
import org.estampage.maps.ColourMap;
import org.estampage.maps.CurvatureMap;
import org.estampage.maps.HeightMap;
import org.estampage.maps.IdMap;
import org.estampage.maps.NormalMap;
import org.estampage.maps.OcclusionMap;
import org.estampage.maps.ThicknessMap;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;
import org.estampage.testresources.Bollard;
import org.estampage.testresources.Shape;
import org.estampage.uv.Unwrap;

/** Bakes of the bollard that differ, and what each takes beside what was told before. */
final class EstimateRows {
    /** Two workers on any machine: what they hold is told for each. */
    private static final Baker BAKER = Baker.create().threads(2);
    private static final long MEGABYTE = 1_000_000;
    private static final long PAUSE_NANOS = 20_000_000;

    private EstimateRows() {
    }

    /**
     * One bake.
     *
     * @param what for people
     * @param job  the bake
     */
    record Case(String what, BakeJob job) {
    }

    /**
     * What was told of a bake, and what it took.
     *
     * @param estimate what was told
     * @param peak     the most bytes that were alive at one time while it ran, beside those before
     * @param rays     rays that were traced
     */
    record Row(String what, BakeEstimate estimate, long peak, long rays) {
        double memoryFactor() {
            return (double) estimate.peakBytes() / peak;
        }

        double rayFactor() {
            return (double) estimate.rays() / rays;
        }

        /** Returns the row of a table. */
        String line() {
            return String.format(Locale.ROOT, "| %s | %,d | %,d | %.2f | %.1f | %.1f | %.2f |", what, estimate.peakBytes() / MEGABYTE,
                    peak / MEGABYTE, memoryFactor(), estimate.rays() * 1e-6, rays * 1e-6, rayFactor());
        }
    }

    static Mesh sculpt(int triangles) {
        Shape shape = Bollard.generate(triangles);
        return Mesh.builder(shape.positions(), shape.triangles()).name("bollard").build();
    }

    /** Returns a mesh made smaller: a layer below. */
    private static Mesh scaled(Mesh mesh, float by) {
        float[] positions = mesh.positions().clone();
        for (int i = 0; i < positions.length; i++) {
            positions[i] *= by;
        }
        return Mesh.builder(positions, mesh.positionIndices()).build();
    }

    static Mesh game(Mesh sculpt) {
        return Lathe.around(sculpt).sides(32).rings(10).capped().size(1024).build();
    }

    /** Returns bakes of high polys with so many triangles, images of these sizes, and so many rays a texel. */
    static List<Case> cases(int triangles, int small, int large, int rays) {
        Mesh high = sculpt(triangles);
        Mesh low = game(high);
        Cage cage = Cage.offset(low, 0.05);
        String k = triangles / 1000 + " k, ";
        List<Case> cases = new ArrayList<>();
        cases.add(new Case(k + small + "², normal", BakeJob.of(cage, high).size(small).maps(NormalMap.create()).build()));
        cases.add(new Case(k + large + "², normal, height, occlusion " + rays, BakeJob.of(cage, high).size(large)
                .maps(NormalMap.create(), HeightMap.create(), OcclusionMap.create(rays)).build()));
        cases.add(new Case(k + small + "², fitted cage, normal", BakeJob.of(low, high).size(small).maps(NormalMap.create()).build()));
        cases.add(new Case(k + small + "², curvature", BakeJob.of(cage, high).size(small).maps(CurvatureMap.create()).build()));
        cases.add(new Case(k + small + "², curvature, ids of pieces, colour, thickness " + rays, BakeJob.of(cage, high).size(small)
                .maps(CurvatureMap.create(), IdMap.create().pieces(), ColourMap.create(), ThicknessMap.create(rays)).build()));
        cases.add(new Case("3 × " + k + small + "², normal, curvature",
                BakeJob.of(cage, high, scaled(high, 0.98f), scaled(high, 0.96f)).size(small)
                        .maps(NormalMap.create(), CurvatureMap.create()).build()));
        cases.add(new Case(k + small + "², normal, occlusion shared " + rays, BakeJob.of(cage, high).size(small)
                .maps(NormalMap.create(), OcclusionMap.create(rays).sharingRays()).build()));
        Mesh tiled = Unwrap.of(low).tiles(2).size(small).gutterTexels(8).build();
        cases.add(new Case(k + "UDIM of " + small + "², normal, occlusion " + rays, BakeJob.of(tiled, high).size(small).udim()
                .maps(NormalMap.create(), OcclusionMap.create(rays)).build()));
        return cases;
    }

    /** Bakes, looks all the time how much is alive, and returns the most of so many attempts: a look can come too late, never too early. */
    static Row measured(Case of) {
        BakeEstimate estimate = BAKER.estimate(of.job);
        alive(); // a second one takes what the first has found to be nobody's
        long before = alive();
        long[] most = {before};
        AtomicBoolean over = new AtomicBoolean();
        Thread looks = Thread.ofPlatform().daemon().start(() -> {
            while (!over.get()) {
                most[0] = Math.max(most[0], alive());
                LockSupport.parkNanos(PAUSE_NANOS); // collecting all the time, the bake would hardly get on
            }
        });
        BakeResult result = BAKER.bake(of.job, Task.silent());
        over.set(true);
        try {
            looks.join();
        } catch (InterruptedException e) {
            throw new IllegalStateException(e);
        }
        return new Row(of.what, estimate, most[0] - before, result.projectionRayCount() + result.hemisphereRayCount());
    }

    /** Returns what a collection of garbage has left, as it says itself: other threads have made more before it could be asked. */
    private static long alive() {
        System.gc();
        long bytes = 0;
        for (MemoryPoolMXBean pool : ManagementFactory.getMemoryPoolMXBeans()) {
            MemoryUsage left = pool.getType() == MemoryType.HEAP ? pool.getCollectionUsage() : null;
            bytes += left == null ? 0 : left.getUsed();
        }
        return bytes;
    }
}
