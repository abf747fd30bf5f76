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
        return new Measuring(from.build(), to.build(), tracer, points, task).result();
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

    private static final class Measuring {
        private final Mesh from;
        private final RayTracer tracer;
        private final PointBatch batch = new PointBatch(BATCH);
        private final Task task;
        private double sum;
        private double squares;
        private double largest = -1;
        private Place.Point where = new Place.Point(0, 0, 0);
        private long measured;
        private final int points;

        Measuring(Mesh from, Mesh to, RayTracer tracer, int points, Task task) {
            if (points < 1) {
                throw new IllegalArgumentException("points = " + points + " must be at least 1");
            }
            InvalidMeshException.throwIfAny(MeshCheck.shapeProblems(from, from.name()));
            if (!(Samples.over(to, 0).area() > 0)) {
                throw new IllegalArgumentException(to.title() + " has no triangle with an area: there is nothing to measure to");
            }
            this.from = from;
            this.tracer = tracer;
            this.points = points;
            this.task = task;
        }

        SurfaceDistance result() {
            Samples samples = Samples.over(from, points);
            if (!(samples.area() > 0)) {
                throw new IllegalArgumentException(
                        from.title() + " has no triangle with an area: there is nothing to measure from");
            }
            float[] p = from.positions();
            double[] place = new double[3];
            for (int i = 0; i < points; i++) {
                samples.at(i, p, 3, from.positionIndices(), place);
                batch.add((float) place[0], (float) place[1], (float) place[2], Float.POSITIVE_INFINITY);
                if (batch.size == BATCH) {
                    flush(true);
                }
            }
            flush(true);
            boolean[] used = new boolean[from.vertexCount()];
            for (int v : from.positionIndices()) {
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
                }
                if (d > largest) {
                    largest = d;
                    where = new Place.Point(batch.x[i], batch.y[i], batch.z[i]);
                }
            }
            measured += batch.size;
            batch.size = 0;
        }
    }
}
