package org.estampage.benchmarks;

import java.util.List;
import java.util.Locale;
import java.util.function.LongConsumer;
import org.estampage.benchmarks.reference.NativeRays;
import org.estampage.benchmarks.reference.NativeScene;
import org.estampage.bvh.Facing;
import org.estampage.bvh.HemisphereBatch;
import org.estampage.bvh.HitBatch;
import org.estampage.bvh.RayBatch;
import org.estampage.bvh.RayTracer;
import org.estampage.mesh.Mesh;
import org.jspecify.annotations.Nullable;

/**
 * Compares answers of the engine's tracers with each other, bit by bit, and with the watertight native reference: projection rays, and occlusion rays from
 * where these hit. Where a tracer and the reference differ, {@link ExactTriangle} settles who is right.
 */
final class Agreement {
    /** Both sides' t is a float: 1e-6 is 8 of its units in the last place, which is what two different orders of operations may lose. */
    static final double TOLERANCE = 1e-6;
    /**
     * How far the rounding of a float test may move a triangle along its normal, in units of the largest |corner − origin|: differences, shear and products
     * move a corner by 6·2⁻²⁴ on each axis, which is 10.4·2⁻²⁴ along the normal; the rest is for the weights of the corners.
     */
    private static final double ROUNDING = 16 * 0x1p-24;
    private static final int BLOCK = 1 << 16;

    private final RayScene scene;
    private final Mesh mesh;
    private final List<? extends RayTracer> tracers;
    private final @Nullable NativeScene reference;
    /** Projection rays. */
    long rays;
    /** Projection rays that hit, by the engine. */
    long hits;
    /** Projection and occlusion rays that two of the engine's tracers answer with other bits. */
    long otherBits;
    /** Projection rays that hit nothing, but hit something by the reference. */
    long missesAlone;
    /** Of these, those that hit that triangle indeed: a hole in the engine. */
    long holes;
    /** Projection rays that hit nothing by the reference, but hit something here. */
    long referenceMissesAlone;
    /** Of these, those that pass the triangle by, exactly seen: let in by the rounding of its edges. */
    long grazes;
    /** Projection rays that both hit, farther apart than the tolerance. */
    long apart;
    /** Of these, those whose t here is that of the nearer triangle, exactly computed, within the tolerance. */
    long right;
    /** Of these, those beyond the tolerance, but not beyond what rounding moves for a ray that grazes the triangle. */
    long grazing;
    /** Of these, those that are wrong: also triangles behind the reference's. */
    long off;
    /** Of these, those of which the reference's t is off, or whose triangle is behind. */
    long referenceOff;
    /** Of these, those that pass both triangles by, exactly seen. */
    long undecided;
    /** Occlusion rays. */
    long occlusionRays;
    /** Occlusion rays that are blocked, by the engine. */
    long blocked;
    /** Occlusion rays open for one and blocked for the other. */
    long occlusionDiffers;
    /** Of these, those that are open here and exactly seen hit the triangle that the reference finds. */
    long occlusionHoles;
    /** Of these, those that are blocked here and exactly seen pass the found triangle by. */
    long occlusionGrazes;

    /**
     * Prepares the comparison.
     *
     * @param reference a watertight one; null compares the tracers with each other only
     */
    Agreement(RayScene scene, List<? extends RayTracer> tracers, @Nullable NativeScene reference) {
        this.scene = scene;
        this.mesh = scene.mesh();
        this.tracers = tracers;
        this.reference = reference;
    }

    /** Returns whether nothing was found that the engine got wrong. */
    boolean holds() {
        return otherBits == 0 && holes == 0 && off == 0 && occlusionHoles == 0;
    }

    /** Compares about {@code count} rays, spread evenly over the cage. */
    void run(int count, LongConsumer progress) {
        int side = 1;
        while ((long) side * side < count) {
            side *= 2;
        }
        long texels = (long) side * side;
        RayBatch block = new RayBatch(BLOCK);
        for (long first = 0; first < count; first += BLOCK) {
            block.size = 0;
            for (long i = first; i < Math.min(count, first + BLOCK); i++) {
                scene.addProjectionRay((int) (i * texels / count), side, block);
            }
            HitBatch found = projection(block);
            occlusion(block, found);
            progress.accept(rays);
        }
    }

    private HitBatch projection(RayBatch block) {
        HitBatch ours = new HitBatch(block.size);
        tracers.getFirst().closestHits(block, Facing.BOTH, ours);
        HitBatch others = new HitBatch(block.size);
        for (RayTracer tracer : tracers.subList(1, tracers.size())) {
            tracer.closestHits(block, Facing.BOTH, others);
            for (int i = 0; i < block.size; i++) {
                otherBits += sameBits(ours, others, i) ? 0 : 1;
            }
        }
        rays += block.size;
        for (int i = 0; i < block.size; i++) {
            hits += ours.triangle[i] >= 0 ? 1 : 0;
        }
        if (reference == null) {
            return ours;
        }
        try (NativeRays theirs = NativeRays.copyOf(block)) {
            reference.closestHits(theirs, 0, block.size, NativeScene.Mode.SINGLE);
            for (int i = 0; i < block.size; i++) {
                compare(block, i, ours.triangle[i], ours.t[i], theirs.triangle(i), theirs.distance(i));
            }
        }
        return ours;
    }

    private static boolean sameBits(HitBatch a, HitBatch b, int i) {
        return a.triangle[i] == b.triangle[i] && (a.triangle[i] < 0 || (Float.floatToRawIntBits(a.t[i]) == Float.floatToRawIntBits(b.t[i])
                && Float.floatToRawIntBits(a.b1[i]) == Float.floatToRawIntBits(b.b1[i])
                && Float.floatToRawIntBits(a.b2[i]) == Float.floatToRawIntBits(b.b2[i])));
    }

    private void compare(RayBatch block, int i, int ours, float t, int theirs, float theirT) {
        if (ours < 0 && theirs >= 0) {
            missesAlone++;
            holes += ExactTriangle.of(mesh, theirs, block, i).hit() ? 1 : 0;
        } else if (ours >= 0 && theirs < 0) {
            referenceMissesAlone++;
            grazes += ExactTriangle.of(mesh, ours, block, i).hit() ? 0 : 1;
        } else if (ours >= 0 && !near(t, theirT)) {
            apart++;
            settle(ExactTriangle.of(mesh, ours, block, i), t, ExactTriangle.of(mesh, theirs, block, i), theirT);
        }
    }

    private void settle(ExactTriangle.Truth ours, float t, ExactTriangle.Truth theirs, float theirT) {
        if (!ours.hit() && !theirs.hit()) {
            undecided++;
            return;
        }
        ExactTriangle.Truth truth = !theirs.hit() || (ours.hit() && ours.t() <= theirs.t()) ? ours : theirs;
        if (near(t, truth.t())) {
            right++;
        } else if (Math.abs(t - truth.t()) <= ROUNDING * truth.shift()) {
            grazing++;
        } else {
            off++;
        }
        referenceOff += near(theirT, truth.t()) ? 0 : 1;
    }

    private static boolean near(double t, double truth) {
        return Math.abs(t - truth) <= TOLERANCE * Math.abs(truth);
    }

    private void occlusion(RayBatch block, HitBatch found) {
        HemisphereBatch points = new HemisphereBatch(Math.max(1, block.size / ColumnScene.RAYS_PER_POINT));
        RayBatch sixteenth = new RayBatch(points.capacity());
        HitBatch hit = new HitBatch(points.capacity());
        for (int i = 0; i < block.size && sixteenth.size < sixteenth.capacity(); i += ColumnScene.RAYS_PER_POINT) {
            int to = sixteenth.size;
            sixteenth.add(block.originX[i], block.originY[i], block.originZ[i], block.directionX[i], block.directionY[i],
                    block.directionZ[i],
                    block.tMin[i], block.tMax[i]);
            hit.triangle[to] = found.triangle[i];
            hit.b1[to] = found.b1[i];
            hit.b2[to] = found.b2[i];
        }
        ColumnScene.addPoints(mesh, sixteenth, hit, points);
        int count = points.size * ColumnScene.RAYS_PER_POINT;
        if (count == 0) {
            return;
        }
        RayBatch drawn = Rays.cut(count, count, Rays.occlusion(points))[0];
        boolean[] ours = new boolean[count];
        tracers.getFirst().anyHits(drawn, Facing.BOTH, ours);
        boolean[] others = new boolean[count];
        for (RayTracer tracer : tracers.subList(1, tracers.size())) {
            tracer.anyHits(drawn, Facing.BOTH, others);
            for (int i = 0; i < count; i++) {
                otherBits += ours[i] == others[i] ? 0 : 1;
            }
        }
        occlusionRays += count;
        for (int i = 0; i < count; i++) {
            blocked += ours[i] ? 1 : 0;
        }
        if (reference == null) {
            return;
        }
        try (NativeRays theirs = NativeRays.copyOf(drawn)) {
            reference.anyHits(theirs, 0, count, NativeScene.Mode.SINGLE);
            for (int i = 0; i < count; i++) {
                if (ours[i] != theirs.blocked(i)) {
                    occlusionDiffers++;
                    if (ours[i]) {
                        settleBlocked(drawn, i);
                    } else {
                        reference.closestHits(theirs, i, i + 1, NativeScene.Mode.SINGLE);
                        occlusionHoles += theirs.triangle(i) >= 0 && ExactTriangle.of(mesh, theirs.triangle(i), drawn, i).hit() ? 1 : 0;
                    }
                }
            }
        }
    }

    private void settleBlocked(RayBatch drawn, int i) {
        RayBatch one = new RayBatch(1);
        one.add(drawn.originX[i], drawn.originY[i], drawn.originZ[i], drawn.directionX[i], drawn.directionY[i], drawn.directionZ[i],
                drawn.tMin[i],
                drawn.tMax[i]);
        HitBatch found = new HitBatch(1);
        tracers.getFirst().closestHits(one, Facing.BOTH, found);
        occlusionGrazes += found.triangle[0] >= 0 && ExactTriangle.of(mesh, found.triangle[0], one, 0).hit() ? 0 : 1;
    }

    /** Returns a line for machines. */
    String line() {
        String scenes = " size=" + scene.size() + (scene.name().equals("column") ? "" : " scene=" + scene.name());
        return "AGREEMENT" + scenes + " tracers=" + tracers.size() + " rays=" + rays + " hits=" + hits + " other-bits=" + otherBits //
                + " misses-alone=" + missesAlone + " holes=" + holes //
                + " reference-misses-alone=" + referenceMissesAlone + " grazes=" + grazes //
                + " apart=" + apart + " right=" + right + " grazing=" + grazing + " off=" + off + " undecided=" + undecided //
                + " reference-off=" + referenceOff //
                + " occlusion-rays=" + occlusionRays + " blocked=" + blocked + " differ=" + occlusionDiffers //
                + " occlusion-holes=" + occlusionHoles + " occlusion-grazes=" + occlusionGrazes;
    }

    /** Returns what was found, for people. */
    String summary() {
        return said("%,d projection rays, %,d hit; %,d answers differ in a bit among our %d tracers (must be 0)", rays, hits, otherBits,
                tracers.size())
                + said("  %,d miss here alone; by exact arithmetic %,d of these hit (must be 0)", missesAlone, holes)
                + said("  %,d miss in the reference alone; by exact arithmetic %,d of these pass by", referenceMissesAlone, grazes)
                + said("  %,d hits are more than %.0e·t apart; by exact arithmetic ours is", apart, TOLERANCE)
                + said("    right in %,d, off by the rounding of a grazing ray in %,d, wrong in %,d (must be 0); both pass by in %,d",
                        right, grazing,
                        off, undecided)
                + said("    the reference's is off by more than %.0e·t in %,d", TOLERANCE, referenceOff)
                + said("%,d occlusion rays, %,d blocked; %,d differ; by exact arithmetic", occlusionRays, blocked, occlusionDiffers)
                + said("    %,d open here are blocked (must be 0), %,d blocked here are open", occlusionHoles, occlusionGrazes);
    }

    private static String said(String format, Object... values) {
        return String.format(Locale.ROOT, format + "%n", values);
    }
}
