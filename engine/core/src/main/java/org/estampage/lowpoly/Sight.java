package org.estampage.lowpoly;

import org.estampage.bvh.Facing;
import org.estampage.bvh.HemisphereBatch;
import org.estampage.bvh.HemisphereQuery;
import org.estampage.bvh.RayBatch;
import org.estampage.bvh.RayTracer;
import org.estampage.internal.kernel.Directions;
import org.estampage.internal.kernel.RayStart;
import org.estampage.mesh.FacetNormals;
import org.estampage.mesh.Mesh;
import org.estampage.task.Chunks;
import org.estampage.task.Task;

/**
 * How many rays that leave a triangle get out of the mesh, counted for its two sides apart.
 *
 * <p>Rays start at places spread over the triangle, in proportion to the cosine with its normal. Those are the lines that meet the triangle if lines come
 * from everywhere alike: the share that gets out is the share that would see it.
 *
 * @edge a triangle without area sends no rays and counts as unseen
 * @threads confined; counts are the same for any number of threads
 */
final class Sight {
    /** Rays that start at one place; numbers of rays are multiples of it. */
    static final int RAYS_A_PLACE = 4;
    private static final int BATCH = 1024;
    private static final int FOLLOWING_RAYS = 16;

    private final Mesh mesh;
    private final RayTracer tracer;
    private final HemisphereQuery lines;
    private final double openness;
    private final float[] normals;
    /** Rays that each side of a triangle has sent. */
    private final int[] sent;
    /** Rays that got out, front and back of triangle t at 2t and 2t + 1. */
    private final int[] open;
    /** Sum of the directions in which rays got out, xyz a triangle. */
    private final float[] way;
    private final boolean[] glimpsed;

    /**
     * Starts without rays.
     *
     * @param tracer   a tracer of the mesh
     * @param lines    rays in proportion to the cosine
     * @param openness the share of a side's rays that may get out of a triangle that counts as unseen
     */
    Sight(Mesh mesh, RayTracer tracer, HemisphereQuery lines, double openness) {
        this.mesh = mesh;
        this.tracer = tracer;
        this.lines = lines;
        this.openness = openness;
        normals = FacetNormals.unit(mesh);
        sent = new int[mesh.triangleCount()];
        open = new int[2 * sent.length];
        way = new float[3 * sent.length];
        glimpsed = new boolean[sent.length];
    }

    /** Returns whether more rays of a triangle's front, or of its back, got out than may, or one that it sent after another triangle's. */
    boolean sees(int triangle) {
        if (glimpsed[triangle]) {
            return true;
        }
        double most = openness * sent[triangle];
        return open[2 * triangle] > most || open[2 * triangle + 1] > most;
    }

    /** Returns how many rays each side of a triangle has sent. */
    int sent(int triangle) {
        return sent[triangle];
    }

    /**
     * Lets triangles send more rays.
     *
     * @param triangles their numbers, no one twice
     * @param rays      how many rays each side shall have sent in all, one number an entry of {@code triangles}; nothing happens where it has already
     */
    void look(int[] triangles, int[] rays, Task task) {
        Chunks.run(triangles.length, task.stage("looking for hidden parts", triangles.length),
                (from, to) -> new Looking(triangles, rays, task).run(from, to));
    }

    /**
     * Lets triangles look where others see the outside: next to one that does, that is much more likely than any other direction.
     *
     * @param triangles their numbers, no one twice
     * @param guides    three triangles that see, or −1, an entry of {@code triangles}
     */
    void follow(int[] triangles, int[] guides, Task task) {
        Chunks.run(triangles.length, task.stage("following sight", triangles.length), (from, to) -> {
            Following following = new Following();
            for (int i = from; i < to; i++) {
                for (int k = 0; k < 3 && !glimpsed[triangles[i]]; k++) {
                    if (guides[3 * i + k] >= 0) {
                        following.follow(triangles[i], guides[3 * i + k]);
                    }
                }
            }
        });
    }

    private boolean hasNormal(int t) {
        return normals[3 * t] != 0 || normals[3 * t + 1] != 0 || normals[3 * t + 2] != 0;
    }

    /** The start of a ray, and room for finding it. */
    private class Start {
        private final double[] place = new double[3];
        private final float[] point = new float[3];
        final float[] start = new float[3];

        /** Sets the start at the i-th place of a triangle, on its front or on its back. */
        void set(int t, int i, boolean front) {
            Samples.within(t, i, mesh.positions(), 3, mesh.positionIndices(), place);
            for (int k = 0; k < 3; k++) {
                point[k] = (float) place[k];
            }
            if (front) {
                RayStart.outside(mesh.positions(), mesh.positionIndices(), t, point, 0, start);
            } else {
                RayStart.inside(mesh.positions(), mesh.positionIndices(), t, point, 0, start);
            }
        }
    }

    /** Rays that go another triangle's way. */
    private final class Following extends Start {
        private final RayBatch rays = new RayBatch(FOLLOWING_RAYS);
        private final boolean[] blocked = new boolean[FOLLOWING_RAYS];

        void follow(int t, int guide) {
            float x = way[3 * guide], y = way[3 * guide + 1], z = way[3 * guide + 2];
            double across = (double) x * normals[3 * t] + (double) y * normals[3 * t + 1] + (double) z * normals[3 * t + 2];
            if (!hasNormal(t) || across == 0) {
                return;
            }
            rays.size = 0;
            for (int i = 0; i < FOLLOWING_RAYS; i++) {
                set(t, i, across > 0);
                rays.add(start[0], start[1], start[2], x, y, z, 0f, Float.POSITIVE_INFINITY);
            }
            tracer.anyHits(rays, Facing.BOTH, blocked);
            for (int i = 0; i < FOLLOWING_RAYS; i++) {
                glimpsed[t] |= !blocked[i];
            }
            if (glimpsed[t]) {
                System.arraycopy(way, 3 * guide, way, 3 * t, 3);
            }
        }
    }

    /** Some triangles' rays. */
    private final class Looking extends Start {
        private final int[] triangles;
        private final int[] rays;
        private final Task task;
        private final HemisphereBatch batch = new HemisphereBatch(BATCH);
        private final int[] owner = new int[BATCH];

        Looking(int[] triangles, int[] rays, Task task) {
            this.triangles = triangles;
            this.rays = rays;
            this.task = task;
        }

        void run(int from, int to) {
            for (int side = 0; side < 2; side++) {
                for (int i = from; i < to; i++) {
                    send(triangles[i], side, rays[i]);
                }
                flush();
            }
            for (int i = from; i < to; i++) {
                int t = triangles[i];
                if (hasNormal(t)) {
                    sent[t] = Math.max(sent[t], rays[i]);
                }
            }
        }

        private void send(int t, int side, int rays) {
            // The back only where the front left it open whether the triangle is seen.
            if (!hasNormal(t) || (side == 1 && open[2 * t] > openness * Math.max(sent[t], rays))) {
                return;
            }
            for (int first = sent[t]; first < rays; first += RAYS_A_PLACE) {
                if (batch.size == BATCH) {
                    flush();
                }
                add(t, side, first);
            }
        }

        private void add(int t, int side, int first) {
            set(t, first / RAYS_A_PLACE, side == 0);
            int sign = side == 0 ? 1 : -1;
            int e = batch.size++;
            owner[e] = 2 * t + side;
            batch.x[e] = start[0];
            batch.y[e] = start[1];
            batch.z[e] = start[2];
            batch.normalX[e] = sign * normals[3 * t];
            batch.normalY[e] = sign * normals[3 * t + 1];
            batch.normalZ[e] = sign * normals[3 * t + 2];
            batch.seed[e] = Directions.mix(2 * t + side);
            batch.first[e] = first;
            batch.count[e] = RAYS_A_PLACE;
        }

        private void flush() {
            task.check(); // a piece of small groups can be millions of rays
            tracer.hemispheres(lines, batch);
            for (int e = 0; e < batch.size; e++) {
                int t = owner[e] / 2;
                open[owner[e]] += batch.open[e];
                way[3 * t] += batch.sumX[e];
                way[3 * t + 1] += batch.sumY[e];
                way[3 * t + 2] += batch.sumZ[e];
            }
            batch.size = 0;
        }
    }
}
