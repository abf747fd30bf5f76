package org.estampage.cage;

import java.util.ArrayList;
import java.util.List;
import java.util.concurrent.ConcurrentLinkedQueue;
import org.estampage.bvh.Facing;
import org.estampage.bvh.HitBatch;
import org.estampage.bvh.RayBatch;
import org.estampage.bvh.RayTracer;
import org.estampage.mesh.Mesh;
import org.estampage.task.Chunks;
import org.estampage.task.Task;

/**
 * Rays of the kind that a bake will send, through a lattice of points on every cage triangle: outwards, to find cage points under the high poly, and
 * inwards, to find how far below the low poly it lies.
 *
 * @threads one call at a time; it uses the caller's fork-join pool or the common one
 */
final class CageRays {
    /** Lattice steps along a triangle's edge, for at most so many triangles: (steps + 1)(steps + 2)/2 points, 28 at the best. */
    private static final int STEPS = 6;
    private static final int STEPS_FOR_MANY = 3;
    private static final int MANY_TRIANGLES = 200_000;
    /**
     * A found depth is taken a quarter larger, for what lies between the points that were looked at: with a tenth, 53 of 100,000 random rays onto a
     * carved bollard ended up to a fifth short. Too long a reach changes nothing where there is a surface, since the first hit counts.
     */
    static final double DEPTH_FACTOR = 1.25;
    /** Corners that weigh less than this at a point need not carry its depth: 1.25 · 0.96 is still above 1. */
    private static final double LIGHT = 0.02;

    final Shell shell;
    private final Mesh high;
    final RayTracer tracer;
    private final Task task;
    private final double[] weights;
    final int pointsPerTriangle;

    CageRays(Shell shell, Mesh high, RayTracer tracer, Task task) {
        this.shell = shell;
        this.high = high;
        this.tracer = tracer;
        this.task = task;
        int steps = shell.triangleCount <= MANY_TRIANGLES ? STEPS : STEPS_FOR_MANY;
        pointsPerTriangle = (steps + 1) * (steps + 2) / 2;
        weights = new double[3 * pointsPerTriangle];
        int next = 0;
        for (int i = 0; i <= steps; i++) {
            for (int j = 0; i + j <= steps; j++) {
                weights[next++] = (double) i / steps;
                weights[next++] = (double) j / steps;
                weights[next++] = (double) (steps - i - j) / steps;
            }
        }
    }

    private static final class Scratch {
        final RayBatch rays;
        final HitBatch hits;
        final int[] triangles;
        final double[] weights;
        final double[] lengths;
        final double[] most;
        final double[] point = new double[7];
        long count;
        double largest;

        Scratch(int batch, int nodes) {
            rays = new RayBatch(batch);
            hits = new HitBatch(batch);
            triangles = new int[batch];
            weights = new double[3 * batch];
            lengths = new double[batch];
            most = new double[nodes];
        }
    }

    /** Reads the hits of a full batch. */
    private interface Reader {
        void read(Scratch s);
    }

    /** Adds the rays of one number. */
    private interface Filler {
        void fill(int number, Scratch s, Reader reader);
    }

    private List<Scratch> trace(String name, int count, Filler filler, Reader reader) {
        ConcurrentLinkedQueue<Scratch> idle = new ConcurrentLinkedQueue<>();
        List<Scratch> made = new ArrayList<>();
        Chunks.run(count, task.stage(name, count), (start, end) -> {
            Scratch s = idle.poll();
            if (s == null) {
                s = new Scratch(Math.max(1, tracer.preferredBatchSize()), shell.nodeCount);
                synchronized (made) {
                    made.add(s);
                }
            }
            for (int i = start; i < end; i++) {
                filler.fill(i, s, reader);
            }
            reader.read(s);
            s.rays.size = 0;
            idle.add(s);
        });
        return made;
    }

    private double[] largest(List<Scratch> made) {
        double[] most = new double[shell.nodeCount];
        for (Scratch s : made) {
            for (int n = 0; n < most.length; n++) {
                most[n] = Math.max(most[n], s.most[n]);
            }
        }
        return most;
    }

    /** Blends the cage point, the move and its length at weights of a triangle into {@code s.point}. */
    private double blend(double[] moves, int t, double w0, double w1, double w2, Scratch s) {
        int a = 3 * shell.triangles[3 * t], b = 3 * shell.triangles[3 * t + 1], c = 3 * shell.triangles[3 * t + 2];
        double square = 0;
        for (int k = 0; k < 3; k++) {
            double move = w0 * moves[a + k] + w1 * moves[b + k] + w2 * moves[c + k];
            s.point[k] = w0 * shell.xyz[a + k] + w1 * shell.xyz[b + k] + w2 * shell.xyz[c + k] + move;
            s.point[3 + k] = move;
            square += move * move;
        }
        double length = Math.sqrt(square);
        s.point[6] = length;
        return length;
    }

    private static void add(int t, double w0, double w1, double w2, double sign, double far, Scratch s) {
        int r = s.rays.size;
        double length = s.point[6];
        s.triangles[r] = t;
        s.weights[3 * r] = w0;
        s.weights[3 * r + 1] = w1;
        s.weights[3 * r + 2] = w2;
        s.lengths[r] = length;
        double scale = sign / length; // unit directions: t is a length
        s.rays.add((float) s.point[0], (float) s.point[1], (float) s.point[2], (float) (scale * s.point[3]), (float) (scale * s.point[4]),
                (float) (scale * s.point[5]), 0, (float) far);
    }

    /** What rays outwards found: how many points, how deep at most, the deepest of each triangle, and the rises of the nodes. */
    static final class Buried {
        final long points;
        final double deepest;
        final float[] depths;
        final double[] rises;

        private Buried(long points, double deepest, float[] depths, double[] rises) {
            this.points = points;
            this.deepest = deepest;
            this.depths = depths;
            this.rises = rises;
        }
    }

    /**
     * Finds cage points that lie under the high poly: the first thing they meet outwards is met from behind, within a few local offsets.
     *
     * @param least  looked for at least ten times this far
     * @param margin added to every rise
     */
    Buried outwards(double[] moves, double[] offsets, double least, double margin) {
        // a batch never outlives its piece of triangles, so each piece writes depths of its own
        float[] depths = new float[shell.triangleCount];
        Reader reader = s -> readBuried(s, margin, depths);
        List<Scratch> made = trace("cage points under the high poly", shell.triangleCount, (t, s, r) -> {
            if (!shell.hasArea(t)) {
                return;
            }
            int[] n = shell.triangles;
            double local = Math.max(offsets[n[3 * t]], Math.max(offsets[n[3 * t + 1]], offsets[n[3 * t + 2]]));
            double far = 4 * local + 10 * least;
            for (int i = 0; i < weights.length; i += 3) {
                if (blend(moves, t, weights[i], weights[i + 1], weights[i + 2], s) > 0) {
                    add(t, weights[i], weights[i + 1], weights[i + 2], 1, far, s);
                    readWhenFull(s, r);
                }
            }
        }, reader);
        long count = 0;
        double deepest = 0;
        for (Scratch s : made) {
            count += s.count;
            deepest = Math.max(deepest, s.largest);
        }
        return new Buried(count, deepest, depths, largest(made));
    }

    private static void readWhenFull(Scratch s, Reader reader) {
        if (s.rays.size == s.rays.capacity()) {
            reader.read(s);
            s.rays.size = 0;
        }
    }

    private void readBuried(Scratch s, double margin, float[] depths) {
        tracer.closestHits(s.rays, Facing.BOTH, s.hits);
        for (int r = 0; r < s.rays.size; r++) {
            int hit = s.hits.triangle[r];
            if (hit < 0 || !leaves(hit, s.rays.directionX[r], s.rays.directionY[r], s.rays.directionZ[r])) {
                continue;
            }
            double depth = s.hits.t[r];
            s.count++;
            s.largest = Math.max(s.largest, depth);
            depths[s.triangles[r]] = Math.max(depths[s.triangles[r]], s.hits.t[r]);
            double square = 0;
            for (int k = 0; k < 3; k++) {
                square += s.weights[3 * r + k] * s.weights[3 * r + k];
            }
            for (int k = 0; k < 3; k++) {
                int n = shell.triangles[3 * s.triangles[r] + k];
                s.most[n] = Math.max(s.most[n], (depth + margin) * s.weights[3 * r + k] / square);
            }
        }
    }

    private boolean leaves(int hit, float dx, float dy, float dz) {
        int[] corners = high.positionIndices();
        float[] p = high.positions();
        int a = 3 * corners[3 * hit], b = 3 * corners[3 * hit + 1], c = 3 * corners[3 * hit + 2];
        double ux = (double) p[b] - p[a], uy = (double) p[b + 1] - p[a + 1], uz = (double) p[b + 2] - p[a + 2];
        double wx = (double) p[c] - p[a], wy = (double) p[c + 1] - p[a + 1], wz = (double) p[c + 2] - p[a + 2];
        return (uy * wz - uz * wy) * dx + (uz * wx - ux * wz) * dy + (ux * wy - uy * wx) * dz > 0;
    }

    /**
     * Returns for every node how far below the low poly rays around it have to go on: first by the lattice, then through the feet of all high-poly
     * vertices that lie deeper than the lattice saw.
     *
     * @param limit how far below the low poly to look
     * @param least the smallest reach of each node
     */
    double[] inwards(double[] moves, Feet feet, double limit, double[] least) {
        Reader reader = this::readDepths;
        List<Scratch> made = trace("depths under the low poly", shell.triangleCount, (t, s, r) -> {
            if (!shell.hasArea(t)) {
                return;
            }
            for (int i = 0; i < weights.length; i += 3) {
                inward(moves, t, weights[i], weights[i + 1], weights[i + 2], limit, s, r);
            }
        }, reader);
        double[] reaches = largest(made);
        for (int n = 0; n < reaches.length; n++) {
            reaches[n] = Math.max(reaches[n], least[n]);
        }
        // narrow pits between the lattice points, as far as rays see into them
        made = trace("pits under the low poly", feet.vertices.length, (i, s, r) -> {
            int t = feet.triangles[i];
            if (t < 0) {
                return;
            }
            double w1 = feet.b1[i], w2 = feet.b2[i], w0 = 1 - w1 - w2;
            double x = feet.xyz[3 * feet.vertices[i]] - feet.blend(shell.xyz, i, 0);
            double y = feet.xyz[3 * feet.vertices[i] + 1] - feet.blend(shell.xyz, i, 1);
            double z = feet.xyz[3 * feet.vertices[i] + 2] - feet.blend(shell.xyz, i, 2);
            int[] n = shell.triangles;
            double there = w0 * reaches[n[3 * t]] + w1 * reaches[n[3 * t + 1]] + w2 * reaches[n[3 * t + 2]];
            int c = 3 * t;
            double below = -(x * shell.normals[c] + y * shell.normals[c + 1] + z * shell.normals[c + 2]);
            // a slanted ray is longer than the way straight down
            double slope = 0;
            double square = 0;
            for (int k = 0; k < 3; k++) {
                double move = feet.blend(moves, i, k);
                slope += move * shell.normals[c + k];
                square += move * move;
            }
            if (below > 0 && below * Math.sqrt(square) > there * slope) {
                inward(moves, t, w0, w1, w2, limit, s, r);
            }
        }, reader);
        double[] deeper = largest(made);
        for (int n = 0; n < reaches.length; n++) {
            reaches[n] = Math.max(reaches[n], deeper[n]);
        }
        return largestAround(reaches);
    }

    /** Raises every reach to the largest beside it: a pit seldom ends where a triangle does. */
    private double[] largestAround(double[] reaches) {
        double[] out = reaches.clone();
        int[] n = shell.triangles;
        for (int c = 0; c < n.length; c += 3) {
            double most = Math.max(reaches[n[c]], Math.max(reaches[n[c + 1]], reaches[n[c + 2]]));
            for (int k = c; k < c + 3; k++) {
                out[n[k]] = Math.max(out[n[k]], most);
            }
        }
        return out;
    }

    private void inward(double[] moves, int t, double w0, double w1, double w2, double limit, Scratch s, Reader reader) {
        double length = blend(moves, t, w0, w1, w2, s);
        if (length > 0) {
            add(t, w0, w1, w2, -1, length + limit, s);
            readWhenFull(s, reader);
        }
    }

    private void readDepths(Scratch s) {
        tracer.closestHits(s.rays, Facing.FRONT, s.hits);
        for (int r = 0; r < s.rays.size; r++) {
            if (s.hits.triangle[r] < 0) {
                continue;
            }
            double depth = (s.hits.t[r] - s.lengths[r]) * DEPTH_FACTOR;
            for (int k = 0; k < 3 && depth > 0; k++) {
                if (s.weights[3 * r + k] > LIGHT) {
                    int n = shell.triangles[3 * s.triangles[r] + k];
                    s.most[n] = Math.max(s.most[n], depth);
                }
            }
        }
    }
}
