package org.estampage.lowpoly;

import java.util.Objects;
import org.estampage.bvh.Bvh;
import org.estampage.bvh.PointBatch;
import org.estampage.bvh.RayTracer;
import org.estampage.finding.Place;
import org.estampage.mesh.InvalidMeshException;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.MeshCheck;
import org.estampage.mesh.MeshSource;
import org.estampage.task.Task;
import org.jspecify.annotations.Nullable;

/**
 * How far one surface is from another, measured at points of the one by the nearest points of the other.
 *
 * <p>Points are spread evenly over the area, the same ones every time; the mean and the root mean square are theirs. For the largest distance the vertices
 * count, too. It is one-sided: from the first surface to the second. {@link #worseOf} of both directions is the symmetric one.
 *
 * @param mean           the mean distance, in mesh units
 * @param rootMeanSquare the root of the mean squared distance, in mesh units
 * @param largest        the largest distance that was met, in mesh units; no more than the true one-sided Hausdorff distance
 * @param where          the place on the first surface that it was met at
 * @param points         how many points were measured, vertices included
 * @edge distances are rounded to floats: on surfaces that coincide they can be as large as 1e-7 of the coordinates
 * @threads immutable
 */
public record SurfaceDistance(double mean, double rootMeanSquare, double largest, Place.Point where, long points) {
    /** How many points are spread over the first surface unless another number is given. */
    public static final int USUAL_POINTS = 200_000;

    private static final int BATCH = 4096;
    // Steps of the plane's most even additive sequence: 1/g and 1/g² for g³ = g + 1, about 1.3247 (Roberts 2018, from memory).
    private static final double STEP_1 = 0.7548776662466927;
    private static final double STEP_2 = 0.5698402909980532;

    /** Checks that the place is there. */
    public SurfaceDistance {
        Objects.requireNonNull(where, "where");
    }

    /** Measures from one surface to another at {@value #USUAL_POINTS} points and all vertices. */
    public static SurfaceDistance between(MeshSource from, MeshSource to) {
        return between(from, to, USUAL_POINTS, Task.silent());
    }

    /**
     * Measures from one surface to another.
     *
     * @param points how many points are spread over {@code from}
     * @throws IllegalArgumentException                   if {@code points} is below 1, or a mesh has no triangle with an area
     * @throws InvalidMeshException                       if a mesh has no triangles or positions that are not finite
     * @throws java.util.concurrent.CancellationException if the task was cancelled
     * @cost building a tracer of {@code to}, and about a microsecond a point
     */
    public static SurfaceDistance between(MeshSource from, MeshSource to, int points, Task task) {
        Mesh target = to.build();
        InvalidMeshException.throwIfAny(MeshCheck.shapeProblems(target, target.name()));
        return between(from, target, Bvh.build(target, task), points, task);
    }

    /**
     * Measures to a surface whose tracer is at hand. Otherwise as {@link #between(MeshSource, MeshSource, int, Task)}.
     *
     * @param tracer a tracer of {@code to}
     */
    public static SurfaceDistance between(MeshSource from, MeshSource to, RayTracer tracer, int points, Task task) {
        return new Measuring(from.build(), to.build(), tracer, points, task, null).result();
    }

    /** Returns the larger one of two distances: of both directions, the symmetric distance. */
    public static SurfaceDistance worseOf(SurfaceDistance a, SurfaceDistance b) {
        return b.largest > a.largest ? b : a;
    }

    /** Returns the larger one of the distances in both directions, at {@value #USUAL_POINTS} points each. */
    public static SurfaceDistance bothWays(MeshSource a, MeshSource b) {
        Mesh first = a.build();
        Mesh second = b.build();
        return worseOf(between(first, second), between(second, first));
    }

    /** Hears of each evenly spread point and what it met. */
    interface Listener {
        /** A point of triangle {@code triangle} of the first mesh with barycentrics b1, b2, and what is nearest on the second. */
        void met(int triangle, double b1, double b2, int nearest, float nearestB1, float nearestB2);
    }

    static SurfaceDistance between(Mesh from, Mesh to, RayTracer tracer, int points, Task task, Listener listener) {
        return new Measuring(from, to, tracer, points, task, listener).result();
    }

    private static final class Measuring {
        private final Mesh from;
        private final RayTracer tracer;
        private final PointBatch batch = new PointBatch(BATCH);
        private final int[] triangle = new int[BATCH];
        private final double[] first = new double[BATCH];
        private final double[] second = new double[BATCH];
        private final Task task;
        private final @Nullable Listener listener;
        private double sum;
        private double squares;
        private double largest = -1;
        private Place.Point where = new Place.Point(0, 0, 0);
        private long measured;
        private final int points;

        Measuring(Mesh from, Mesh to, RayTracer tracer, int points, Task task, @Nullable Listener listener) {
            if (points < 1) {
                throw new IllegalArgumentException("points = " + points + " must be at least 1");
            }
            InvalidMeshException.throwIfAny(MeshCheck.shapeProblems(from, from.name()));
            if (!(area(to) > 0)) {
                throw new IllegalArgumentException("mesh " + to.name() + " has no triangle with an area: there is nothing to measure to");
            }
            this.from = from;
            this.tracer = tracer;
            this.points = points;
            this.task = task;
            this.listener = listener;
        }

        SurfaceDistance result() {
            double[] areas = areas(from);
            double total = areas[areas.length - 1];
            if (!(total > 0)) {
                throw new IllegalArgumentException(
                        "mesh " + from.name() + " has no triangle with an area: there is nothing to measure from");
            }
            float[] p = from.positions();
            int[] corners = from.positionIndices();
            int t = 0;
            double s1 = 0.5, s2 = 0.5;
            for (int i = 0; i < points; i++) {
                double at = (i + 0.5) / points * total;
                while (t < areas.length - 1 && areas[t] <= at) {
                    t++;
                }
                s1 += STEP_1;
                s1 -= Math.floor(s1);
                s2 += STEP_2;
                s2 -= Math.floor(s2);
                // Fold the square onto the triangle.
                double b1 = s1 + s2 > 1 ? 1 - s1 : s1;
                double b2 = s1 + s2 > 1 ? 1 - s2 : s2;
                int a = 3 * corners[3 * t], b = 3 * corners[3 * t + 1], c = 3 * corners[3 * t + 2];
                double b0 = 1 - b1 - b2;
                triangle[batch.size] = t;
                first[batch.size] = b1;
                second[batch.size] = b2;
                batch.add((float) (b0 * p[a] + b1 * p[b] + b2 * p[c]), (float) (b0 * p[a + 1] + b1 * p[b + 1] + b2 * p[c + 1]),
                        (float) (b0 * p[a + 2] + b1 * p[b + 2] + b2 * p[c + 2]), Float.POSITIVE_INFINITY);
                if (batch.size == BATCH) {
                    flush(true);
                }
            }
            flush(true);
            boolean[] used = new boolean[from.vertexCount()];
            for (int v : corners) {
                used[v] = true;
            }
            for (int v = 0; v < used.length; v++) {
                if (used[v]) {
                    batch.add(p[3 * v], p[3 * v + 1], p[3 * v + 2], Float.POSITIVE_INFINITY);
                    if (batch.size == BATCH) {
                        flush(false);
                    }
                }
            }
            flush(false);
            return new SurfaceDistance(sum / points, Math.sqrt(squares / points), largest, where, measured);
        }

        private void flush(boolean spread) {
            task.check();
            tracer.nearestPoints(batch);
            for (int i = 0; i < batch.size; i++) {
                double d = batch.distance[i];
                if (spread) {
                    sum += d;
                    squares += d * d;
                    if (listener != null) {
                        listener.met(triangle[i], first[i], second[i], batch.triangle[i], batch.b1[i], batch.b2[i]);
                    }
                }
                if (d > largest) {
                    largest = d;
                    where = new Place.Point(batch.x[i], batch.y[i], batch.z[i]);
                }
            }
            measured += batch.size;
            batch.size = 0;
        }

        private static double area(Mesh mesh) {
            double[] areas = areas(mesh);
            return areas.length == 0 ? 0 : areas[areas.length - 1];
        }

        /** Returns running sums of the triangles' areas. */
        private static double[] areas(Mesh mesh) {
            float[] p = mesh.positions();
            int[] corners = mesh.positionIndices();
            double[] sums = new double[corners.length / 3];
            double total = 0;
            for (int t = 0; t < sums.length; t++) {
                int a = 3 * corners[3 * t], b = 3 * corners[3 * t + 1], c = 3 * corners[3 * t + 2];
                double ex = (double) p[b] - p[a], ey = (double) p[b + 1] - p[a + 1], ez = (double) p[b + 2] - p[a + 2];
                double fx = (double) p[c] - p[a], fy = (double) p[c + 1] - p[a + 1], fz = (double) p[c + 2] - p[a + 2];
                double nx = ey * fz - ez * fy, ny = ez * fx - ex * fz, nz = ex * fy - ey * fx;
                total += Math.sqrt(nx * nx + ny * ny + nz * nz) / 2;
                sums[t] = total;
            }
            return sums;
        }
    }
}
