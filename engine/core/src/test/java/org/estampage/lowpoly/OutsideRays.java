package org.estampage.lowpoly;

import java.util.SplittableRandom;
import org.estampage.bvh.Bvh;
import org.estampage.bvh.Facing;
import org.estampage.bvh.HitBatch;
import org.estampage.bvh.RayBatch;
import org.estampage.mesh.Bounds;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;

/** Rays that come from outside: lines through a ball around a mesh, from everywhere alike. */
final class OutsideRays {
    private OutsideRays() {
    }

    /**
     * Returns how many of some rays meet something else in one mesh than in another: nothing in place of something, or a triangle of another shape or
     * place.
     */
    static int changed(Mesh before, Mesh after, int count, long seed) {
        RayBatch rays = rays(before.bounds(), count, seed);
        HitBatch first = new HitBatch(count), second = new HitBatch(count);
        Bvh.build(before, Task.silent()).closestHits(rays, Facing.BOTH, first);
        Bvh.build(after, Task.silent()).closestHits(rays, Facing.BOTH, second);
        int changed = 0;
        for (int i = 0; i < count; i++) {
            changed += sameHit(before, first, after, second, i) ? 0 : 1;
        }
        return changed;
    }

    private static boolean sameHit(Mesh before, HitBatch first, Mesh after, HitBatch second, int i) {
        if (first.triangle[i] < 0 || second.triangle[i] < 0) {
            return first.triangle[i] == second.triangle[i];
        }
        for (int c = 0; c < 9; c++) {
            int a = before.positionIndices()[3 * first.triangle[i] + c / 3], b = after.positionIndices()[3 * second.triangle[i] + c / 3];
            if (before.positions()[3 * a + c % 3] != after.positions()[3 * b + c % 3]) {
                return false;
            }
        }
        return first.t[i] == second.t[i];
    }

    /** Returns rays between pairs of points of a ball's surface: these are lines that meet whatever is inside from everywhere alike. */
    private static RayBatch rays(Bounds box, int count, long seed) {
        double[] middle = box.middle();
        double radius = box.diagonal();
        SplittableRandom random = new SplittableRandom(seed);
        RayBatch rays = new RayBatch(count);
        // A ball twice as large as needed would waste most rays: half the diagonal reaches every corner of the box.
        radius *= 0.5;
        for (int i = 0; i < count; i++) {
            double[] a = onBall(random), b = onBall(random);
            rays.add((float) (middle[0] + radius * a[0]), (float) (middle[1] + radius * a[1]), (float) (middle[2] + radius * a[2]),
                    (float) (b[0] - a[0]), (float) (b[1] - a[1]), (float) (b[2] - a[2]), 0f, Float.POSITIVE_INFINITY);
        }
        return rays;
    }

    private static double[] onBall(SplittableRandom random) {
        double z = 2 * random.nextDouble() - 1;
        double turn = 2 * Math.PI * random.nextDouble();
        double r = Math.sqrt(1 - z * z);
        return new double[] {r * Math.cos(turn), r * Math.sin(turn), z};
    }
}
