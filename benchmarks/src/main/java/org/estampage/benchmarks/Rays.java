package org.estampage.benchmarks;

import java.util.ArrayList;
import java.util.List;
import java.util.SplittableRandom;
import org.estampage.bvh.Facing;
import org.estampage.bvh.HemisphereBatch;
import org.estampage.bvh.HitBatch;
import org.estampage.bvh.PointBatch;
import org.estampage.bvh.RayBatch;
import org.estampage.bvh.RayTracer;
import org.estampage.internal.kernel.Directions;

/** The rays and points of a scene that contenders are compared with, drawn before anything is timed, cut to any size of batch. */
final class Rays {
    private static final int CHUNK = 4096;

    private Rays() {
    }

    /** Rays by number, appended one at a time; the same ones at every call. */
    @FunctionalInterface
    interface Source {
        void add(int ray, RayBatch dest);
    }

    /** Cuts rays into batches; the last may be smaller. */
    static RayBatch[] cut(int count, int size, Source source) {
        RayBatch[] batches = new RayBatch[(count + size - 1) / size];
        for (int i = 0; i < batches.length; i++) {
            int end = Math.min(count, (i + 1) * size);
            batches[i] = new RayBatch(end - i * size);
            for (int k = i * size; k < end; k++) {
                source.add(k, batches[i]);
            }
        }
        return batches;
    }

    /** Returns rays between random points of the bounds. */
    static Source incoherent(RayScene scene) {
        return (ray, dest) -> {
            SplittableRandom random = new SplittableRandom(ray);
            double[] p = new double[6];
            for (int k = 0; k < 6; k++) {
                p[k] = scene.least(k % 3) + scene.extent(k % 3) * random.nextDouble();
            }
            dest.add((float) p[0], (float) p[1], (float) p[2], (float) (p[3] - p[0]), (float) (p[4] - p[1]), (float) (p[5] - p[2]), 0, 1);
        };
    }

    /** Returns the occlusion rays of points, those of a point together. */
    static Source occlusion(HemisphereBatch points) {
        float[] direction = new float[3];
        return (ray, dest) -> {
            int i = ray / ColumnScene.RAYS_PER_POINT;
            Directions.about(ray % ColumnScene.RAYS_PER_POINT, points.seed[i], false, points.normalX[i], points.normalY[i],
                    points.normalZ[i],
                    direction, 0);
            dest.add(points.x[i], points.y[i], points.z[i], direction[0], direction[1], direction[2], 0, Float.POSITIVE_INFINITY);
        };
    }

    /** Returns hemisphere points where {@code side}² projection rays hit. */
    static HemisphereBatch points(RayScene scene, RayTracer tracer, int side) {
        HemisphereBatch points = new HemisphereBatch(side * side);
        HitBatch hits = new HitBatch(CHUNK);
        RayBatch rays = new RayBatch(CHUNK);
        for (int first = 0; first < side * side; first += CHUNK) {
            rays.size = 0;
            for (int i = first; i < Math.min(side * side, first + CHUNK); i++) {
                scene.addProjectionRay(i, side, rays);
            }
            tracer.closestHits(rays, Facing.FRONT, hits);
            ColumnScene.addPoints(scene.mesh(), rays, hits, points);
        }
        return points;
    }

    /** Cuts hemisphere points into batches of their own. */
    static HemisphereBatch[] cut(HemisphereBatch points, int size) {
        List<HemisphereBatch> batches = new ArrayList<>();
        for (int first = 0; first < points.size; first += size) {
            int count = Math.min(size, points.size - first);
            HemisphereBatch batch = new HemisphereBatch(count);
            float[][] from = {points.x, points.y, points.z, points.normalX, points.normalY, points.normalZ};
            float[][] to = {batch.x, batch.y, batch.z, batch.normalX, batch.normalY, batch.normalZ};
            for (int k = 0; k < from.length; k++) {
                System.arraycopy(from[k], first, to[k], 0, count);
            }
            System.arraycopy(points.seed, first, batch.seed, 0, count);
            System.arraycopy(points.first, first, batch.first, 0, count);
            System.arraycopy(points.count, first, batch.count, 0, count);
            batch.size = count;
            batches.add(batch);
        }
        return batches.toArray(HemisphereBatch[]::new);
    }

    /** Returns every fourth point, moved off the surface by up to a hundredth of the scene's diagonal, cut into batches. */
    static PointBatch[] near(RayScene scene, HemisphereBatch points, int size) {
        List<PointBatch> batches = new ArrayList<>();
        int count = points.size / 4;
        for (int first = 0; first < count; first += size) {
            PointBatch batch = new PointBatch(Math.min(size, count - first));
            for (int k = first; k < first + batch.capacity(); k++) {
                double off = 0.01 * scene.diagonal() * (2 * new SplittableRandom(k).nextDouble() - 1);
                int i = 4 * k;
                batch.add((float) (points.x[i] + off * points.normalX[i]), (float) (points.y[i] + off * points.normalY[i]),
                        (float) (points.z[i] + off * points.normalZ[i]), Float.POSITIVE_INFINITY);
            }
            batches.add(batch);
        }
        return batches.toArray(PointBatch[]::new);
    }
}
