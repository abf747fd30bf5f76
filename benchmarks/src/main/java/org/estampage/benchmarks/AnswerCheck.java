package org.estampage.benchmarks;

import org.estampage.bvh.Facing;
import org.estampage.bvh.HemisphereBatch;
import org.estampage.bvh.HitBatch;
import org.estampage.bvh.PointBatch;
import org.estampage.bvh.RayBatch;
import org.estampage.bvh.RayTracer;
import org.estampage.internal.kernel.Directions;
import org.estampage.mesh.Mesh;

/** Compares a few answers of every kind with {@link Oracle}, before anything is timed. */
final class AnswerCheck {
    private static final int RAYS = 24;
    private static final int POINTS = 4;
    /** In diagonals of the scene: single precision leaves a few 1e-7 of the coordinates. */
    private static final double CLOSE = 3e-6;

    private final RayScene scene;
    private final Mesh mesh;
    private final RayTracer tracer;

    private AnswerCheck(RayScene scene, RayTracer tracer) {
        this.scene = scene;
        mesh = scene.mesh();
        this.tracer = tracer;
    }

    /**
     * Asks a tracer everything that is measured.
     *
     * @throws IllegalStateException if an answer is wrong
     */
    static void check(RayScene scene, RayTracer tracer) {
        AnswerCheck check = new AnswerCheck(scene, tracer);
        check.projection();
        check.incoherent();
        HemisphereBatch points = Rays.points(scene, tracer, 32);
        check.hemispheres(points);
        check.nearest(points);
    }

    private void projection() {
        RayBatch rays = new RayBatch(RAYS);
        for (int i = 0; i < RAYS; i++) {
            scene.addProjectionRay((int) (((i * 2654435761L) >>> 3) & (ColumnScene.RAYS - 1)), 1024, rays);
        }
        closest(rays, Facing.FRONT);
    }

    private void incoherent() {
        closest(Rays.cut(RAYS, RAYS, Rays.incoherent(scene))[0], Facing.BOTH);
    }

    private void closest(RayBatch rays, Facing facing) {
        HitBatch hits = new HitBatch(RAYS);
        tracer.closestHits(rays, facing, hits);
        for (int i = 0; i < rays.size; i++) {
            double distance = Oracle.distance(mesh, facing == Facing.FRONT, rays.originX[i], rays.originY[i], rays.originZ[i],
                    rays.directionX[i], rays.directionY[i], rays.directionZ[i]);
            double expected = distance > rays.tMax[i] ? Double.POSITIVE_INFINITY : distance;
            double found = hits.triangle[i] < 0 ? Double.POSITIVE_INFINITY : hits.t[i];
            double length = Math.hypot(Math.hypot(rays.directionX[i], rays.directionY[i]), rays.directionZ[i]);
            if (expected != found && !(Math.abs(found - expected) * length < CLOSE * scene.diagonal())) {
                throw new IllegalStateException("ray " + i + " hits at " + found + ", the oracle says " + expected);
            }
        }
    }

    private void hemispheres(HemisphereBatch all) {
        HemisphereBatch points = Rays.cut(all, POINTS)[0];
        tracer.hemispheres(ColumnScene.query(), points);
        float[] direction = new float[3];
        for (int i = 0; i < points.size; i++) {
            int open = 0;
            for (int k = 0; k < ColumnScene.RAYS_PER_POINT; k++) {
                Directions.about(k, points.seed[i], false, points.normalX[i], points.normalY[i], points.normalZ[i], direction, 0);
                double distance = Oracle.distance(mesh, false, points.x[i], points.y[i], points.z[i], direction[0], direction[1],
                        direction[2]);
                open += Double.isInfinite(distance) ? 1 : 0;
            }
            if (open != points.open[i]) {
                throw new IllegalStateException("point " + i + " has " + points.open[i] + " open rays, the oracle says " + open);
            }
        }
    }

    private void nearest(HemisphereBatch all) {
        PointBatch points = Rays.near(scene, all, RAYS)[0];
        tracer.nearestPoints(points);
        for (int i = 0; i < points.size; i++) {
            double expected = Oracle.nearest(mesh, points.x[i], points.y[i], points.z[i]);
            double found = points.triangle[i] < 0 ? Double.POSITIVE_INFINITY : points.distance[i];
            if (!(Math.abs(found - expected) < CLOSE * scene.diagonal())) {
                throw new IllegalStateException("point " + i + " is " + found + " away, the oracle says " + expected);
            }
        }
    }
}
