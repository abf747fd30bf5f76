package org.estampage.cage;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.concurrent.ConcurrentLinkedQueue;
import org.estampage.bvh.Bvh;
import org.estampage.bvh.Facing;
import org.estampage.bvh.HitBatch;
import org.estampage.bvh.RayBatch;
import org.estampage.bvh.RayTracer;
import org.estampage.mesh.Mesh;
import org.estampage.task.Chunks;
import org.estampage.task.Task;

/**
 * The test which high-poly vertices lie outside a cage, and by how much its nodes would have to rise to take them in.
 *
 * <p>A vertex is outside when the way to it from its foot on the low poly leaves the cage: meets a cage triangle from behind. Only what lies on the
 * outer side of its foot can be; ways into the cage of a far sheet raise nothing. A foot on an open border has no cage beside it, so there the height
 * along the cage's direction decides as well.
 *
 * @threads one call at a time; it uses the caller's fork-join pool or the common one. Largest values and sums of whole numbers do not depend on order
 */
final class Escapes {
    /** Beside this part of the diagonal the cage counts as lying on the low poly; a few roundings of a float coordinate. */
    private static final double ON_SURFACE = 1e-6;

    static final byte INSIDE = 0;
    static final byte NEAR = 1;
    static final byte OUTSIDE = 2;

    final Shell shell;
    final Feet feet;
    private final double[] directions;
    private final double air;
    private final double onSurface;
    private final Task task;
    private double[] moves = new double[0];
    private float[] cagePositions = new float[0];
    private RayTracer cage;

    /** What a test found for each outer entry of the feet: {@link #INSIDE}, {@link #NEAR}, {@link #OUTSIDE}. */
    final byte[] states;
    /** Missing height of each outer entry that is outside. */
    final float[] missing;
    /** Largest rise a node, from the last test that was asked for rises. */
    final double[] rises;
    int outsideCount;

    /**
     * Prepares the test.
     *
     * @param directions unit direction a node, outwards
     * @param air        a vertex this close under the cage, on the way from its foot, counts as outside too; in mesh units
     */
    Escapes(Feet feet, double[] directions, double air, Task task) {
        this.feet = feet;
        this.shell = feet.shell;
        this.directions = directions;
        this.air = air;
        this.task = task;
        onSurface = ON_SURFACE * shell.mesh.bounds().diagonal();
        states = new byte[feet.outer.length];
        missing = new float[feet.outer.length];
        rises = new double[shell.nodeCount];
        cage = Bvh.build(shell.mesh, new int[0], task);
    }

    /** Sets the cage, as moves from the low poly, xyz a node. */
    void cage(double[] newMoves) {
        moves = newMoves;
        float[] p = shell.nodePositions(newMoves);
        cagePositions = p;
        cage = Trees.small(Mesh.builder(p, shell.triangles).build(), task);
    }

    /** Returns all numbers of outer entries. */
    int[] all() {
        int[] all = new int[states.length];
        for (int i = 0; i < all.length; i++) {
            all[i] = i;
        }
        return all;
    }

    /** Returns the outer entries that the last test of them found at least so far out. */
    int[] atLeast(byte state) {
        int[] list = new int[states.length];
        int count = 0;
        for (int i = 0; i < list.length; i++) {
            if (states[i] >= state) {
                list[count++] = i;
            }
        }
        return Arrays.copyOf(list, count);
    }

    /**
     * Tests some of the outer entries and sets their states, {@link #outsideCount} among them, and the rises.
     *
     * @param numbers numbers of outer entries
     * @param far     entries that would be outside if they lay this many times as far from their foot are {@link #NEAR}; at least 1
     */
    int test(int[] numbers, double far) {
        ConcurrentLinkedQueue<Scratch> scratches = new ConcurrentLinkedQueue<>();
        List<Scratch> made = new ArrayList<>();
        Chunks.run(numbers.length, task.stage("high-poly vertices outside", numbers.length), (start, end) -> {
            Scratch s = scratches.poll();
            if (s == null) {
                s = new Scratch(Math.max(1, cage.preferredBatchSize()), shell.nodeCount);
                synchronized (made) {
                    made.add(s);
                }
            }
            test(numbers, start, end, (float) far, s);
            scratches.add(s);
        });
        Arrays.fill(rises, 0);
        outsideCount = 0;
        for (Scratch s : made) {
            outsideCount += s.outside;
            for (int n = 0; n < rises.length; n++) {
                rises[n] = Math.max(rises[n], s.rises[n]);
            }
        }
        return outsideCount;
    }

    private static final class Scratch {
        final RayBatch rays;
        final HitBatch hits;
        final int[] owners;
        /** Up to where a hit means outside. */
        final double[] limits;
        final double[] rises;
        final double[] weights = new double[3];
        final double[] unit = new double[3];
        int outside;

        Scratch(int batch, int nodes) {
            rays = new RayBatch(batch);
            hits = new HitBatch(batch);
            owners = new int[batch];
            limits = new double[batch];
            rises = new double[nodes];
        }
    }

    private void test(int[] numbers, int start, int end, float far, Scratch s) {
        for (int j = start; j < end; j++) {
            int o = numbers[j];
            int i = feet.outer[o];
            states[o] = INSIDE;
            missing[o] = 0;
            if (besideTheCage(o, i, far, s)) {
                continue;
            }
            if (s.rays.size == s.rays.capacity()) {
                flush(s);
            }
            int v = feet.vertices[i];
            // through the rounded foot, so that t = 1 is the vertex itself
            float x = (float) feet.blend(shell.xyz, i, 0), y = (float) feet.blend(shell.xyz, i, 1), z = (float) feet.blend(shell.xyz, i, 2);
            float dx = feet.xyz[3 * v] - x, dy = feet.xyz[3 * v + 1] - y, dz = feet.xyz[3 * v + 2] - z;
            double length = Math.sqrt((double) dx * dx + (double) dy * dy + (double) dz * dz);
            double limit = air > 0 ? 1 + air / length : 1;
            s.owners[s.rays.size] = o;
            s.limits[s.rays.size] = limit;
            s.rays.add(x, y, z, dx, dy, dz, 0, (float) Math.max(far, limit));
        }
        flush(s);
    }

    /** Decides without a ray where the cage lies on or under the low poly, or the foot on an open border; tells whether that was enough. */
    private boolean besideTheCage(int o, int i, float far, Scratch s) {
        int c = 3 * feet.triangles[i];
        int v = feet.vertices[i];
        double mx = feet.blend(moves, i, 0), my = feet.blend(moves, i, 1), mz = feet.blend(moves, i, 2);
        double nx = shell.normals[c], ny = shell.normals[c + 1], nz = shell.normals[c + 2];
        double wx = feet.xyz[3 * v] - feet.blend(shell.xyz, i, 0);
        double wy = feet.xyz[3 * v + 1] - feet.blend(shell.xyz, i, 1);
        double wz = feet.xyz[3 * v + 2] - feet.blend(shell.xyz, i, 2);
        double cageHeight = mx * nx + my * ny + mz * nz;
        double distance = Math.sqrt(wx * wx + wy * wy + wz * wz);
        if (cageHeight <= onSurface) {
            double excess = distance + air - cageHeight;
            if (distance > onSurface) {
                states[o] = OUTSIDE;
                missing[o] = (float) excess;
                s.outside++;
                alongDirection(i, excess, s);
            }
            return true;
        }
        if (!feet.onBorder(i)) {
            return false;
        }
        double length = Math.sqrt(mx * mx + my * my + mz * mz);
        double height = (wx * mx + wy * my + wz * mz) / length;
        // more beside than above: no ray of this border goes there
        if (!(height > 0) || distance * distance > 2 * height * height) {
            return false;
        }
        double excess = height + air - length;
        if (excess > 0) {
            states[o] = OUTSIDE;
            missing[o] = (float) excess;
            s.outside++;
            alongDirection(i, excess, s);
            return true;
        }
        if (height * far > length) {
            states[o] = NEAR;
        }
        return false;
    }

    private void alongDirection(int i, double excess, Scratch s) {
        s.weights[0] = 1.0 - feet.b1[i] - feet.b2[i];
        s.weights[1] = feet.b1[i];
        s.weights[2] = feet.b2[i];
        Rises.note(shell, directions, feet.triangles[i], s.weights, excess, 0, 0, 0, s.rises);
    }

    private void flush(Scratch s) {
        cage.closestHits(s.rays, Facing.BACK, s.hits);
        for (int r = 0; r < s.rays.size; r++) {
            int t = s.hits.triangle[r];
            if (t < 0) {
                continue;
            }
            int o = s.owners[r];
            double at = s.hits.t[r];
            if (at >= s.limits[r]) { // a vertex on the cage itself is inside
                states[o] = NEAR;
                continue;
            }
            unit(t, s.unit);
            double slope = s.unit[0] * s.rays.directionX[r] + s.unit[1] * s.rays.directionY[r] + s.unit[2] * s.rays.directionZ[r];
            double excess = Math.max(0, slope * (s.limits[r] - at));
            states[o] = OUTSIDE;
            missing[o] = (float) Math.max(excess, Float.MIN_NORMAL);
            s.outside++;
            s.weights[1] = Math.max(0, s.hits.b1[r]);
            s.weights[2] = Math.max(0, s.hits.b2[r]);
            s.weights[0] = Math.max(0, 1 - s.weights[1] - s.weights[2]);
            Rises.note(shell, directions, t, s.weights, excess, s.unit[0], s.unit[1], s.unit[2], s.rises);
        }
        s.rays.size = 0;
    }

    private void unit(int t, double[] dest) {
        int a = 3 * shell.triangles[3 * t], b = 3 * shell.triangles[3 * t + 1], c = 3 * shell.triangles[3 * t + 2];
        float[] p = cagePositions;
        double ux = (double) p[b] - p[a], uy = (double) p[b + 1] - p[a + 1], uz = (double) p[b + 2] - p[a + 2];
        double wx = (double) p[c] - p[a], wy = (double) p[c + 1] - p[a + 1], wz = (double) p[c + 2] - p[a + 2];
        dest[0] = uy * wz - uz * wy;
        dest[1] = uz * wx - ux * wz;
        dest[2] = ux * wy - uy * wx;
        double length = Math.sqrt(dest[0] * dest[0] + dest[1] * dest[1] + dest[2] * dest[2]);
        for (int k = 0; k < 3; k++) {
            dest[k] = length > 0 ? dest[k] / length : 0;
        }
    }
}
