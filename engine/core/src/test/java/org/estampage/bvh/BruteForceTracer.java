package org.estampage.bvh;

import java.util.Arrays;
import org.estampage.internal.kernel.NearestPoint;
import org.estampage.internal.kernel.Triangles;
import org.estampage.internal.kernel.WatertightRay;
import org.estampage.mesh.Mesh;

/**
 * The oracle of every strategy: the same triangle test, on every triangle, in the order of their numbers.
 *
 * @threads safe for concurrent calls
 */
public final class BruteForceTracer implements RayTracer {
    private final float[] positions;
    private final int[] corners;
    private final int[] triangles;
    private final int count;

    /** Takes all triangles of a mesh. */
    public BruteForceTracer(Mesh mesh) {
        this(mesh, all(mesh.triangleCount()));
    }

    /** Takes some triangles of a mesh. */
    public BruteForceTracer(Mesh mesh, int[] triangles) {
        positions = mesh.positions();
        corners = mesh.positionIndices();
        count = triangles.length;
        this.triangles = Arrays.stream(triangles).filter(t -> Triangles.takesPart(positions, at(t, 0), at(t, 1), at(t, 2))).sorted()
                .toArray();
    }

    private static int[] all(int count) {
        int[] all = new int[count];
        Arrays.setAll(all, i -> i);
        return all;
    }

    private int at(int triangle, int corner) {
        return 3 * corners[3 * triangle + corner];
    }

    @Override
    public int triangleCount() {
        return count;
    }

    @Override
    public long bytes() {
        return 4L * triangles.length;
    }

    @Override
    public int preferredBatchSize() {
        return 64;
    }

    @Override
    public void closestHits(RayBatch rays, Facing facing, HitBatch dest) {
        if (dest.capacity() < rays.size) {
            throw new IllegalArgumentException("dest has room for " + dest.capacity() + " answers, there are " + rays.size + " rays");
        }
        WatertightRay ray = new WatertightRay();
        for (int i = 0; i < rays.size; i++) {
            dest.triangle[i] = -1;
            if (!set(ray, rays, i, facing)) {
                continue;
            }
            float best = Float.POSITIVE_INFINITY;
            for (int t : triangles) {
                // Always with the ray's own upper end: whether a triangle is hit must not depend on what was found before.
                if (ray.hit(positions, at(t, 0), at(t, 1), at(t, 2), rays.tMax[i]) && ray.t < best) {
                    best = ray.t;
                    dest.t[i] = best;
                    dest.b1[i] = ray.b1;
                    dest.b2[i] = ray.b2;
                    dest.triangle[i] = t;
                }
            }
        }
    }

    @Override
    public void anyHits(RayBatch rays, Facing facing, boolean[] dest) {
        HitBatch hits = new HitBatch(rays.size);
        closestHits(rays, facing, hits);
        for (int i = 0; i < rays.size; i++) {
            dest[i] = hits.triangle[i] >= 0;
        }
    }

    @Override
    public void nearestPoints(PointBatch points) {
        NearestPoint point = new NearestPoint();
        for (int i = 0; i < points.size; i++) {
            points.triangle[i] = -1;
            if (!point.set(points.x[i], points.y[i], points.z[i])) {
                continue;
            }
            for (int t : triangles) {
                point.of(positions, at(t, 0), at(t, 1), at(t, 2));
                if (point.distance <= points.limit[i] && (points.triangle[i] < 0 || point.distance < points.distance[i])) {
                    points.triangle[i] = t;
                    points.distance[i] = point.distance;
                    points.b1[i] = point.b1;
                    points.b2[i] = point.b2;
                }
            }
        }
    }

    private static boolean set(WatertightRay ray, RayBatch r, int i, Facing facing) {
        int side = switch (facing) {
            case BOTH -> 0;
            case FRONT -> 1;
            case BACK -> -1;
        };
        return ray.set(r.originX[i], r.originY[i], r.originZ[i], r.directionX[i], r.directionY[i], r.directionZ[i], r.tMin[i], r.tMax[i],
                side);
    }
}
