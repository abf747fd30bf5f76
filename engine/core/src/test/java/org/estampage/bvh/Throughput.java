package org.estampage.bvh;

import java.lang.management.ManagementFactory;
import java.util.Arrays;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;

/**
 * Prints what the tracer does on this machine; not a test. Run it with the test class path:
 * {@code java -Xmx4g -cp … org.estampage.bvh.Throughput [rings] [sectors] [rounds]}.
 *
 * <p>Scene: a bumpy ball of 2 · sectors · (rings − 1) triangles. P: 512² parallel rays inward from a grid on each of four sides, in Morton order, first
 * hit. A: 256² hit points × 16 cosine directions, any hit. One thread, thread CPU time, median of the rounds.
 */
final class Throughput {
    private Throughput() {
    }

    @SuppressWarnings("SystemOut") // printing is its purpose
    public static void main(String[] args) {
        int rings = args.length > 0 ? Integer.parseInt(args[0]) : 1001;
        int sectors = args.length > 1 ? Integer.parseInt(args[1]) : 1000;
        int rounds = args.length > 2 ? Integer.parseInt(args[2]) : 9;
        Mesh mesh = TestMeshes.ball(rings, sectors, 0.01);
        Bvh tracer = Bvh.build(mesh, Task.silent()); // the first one warms up
        for (int i = 0; i < 4; i++) {
            long wall = System.nanoTime();
            long cpu = processCpu();
            tracer = Bvh.build(mesh, Task.silent());
            System.out.printf("build %d triangles: %.2f s wall, %.2f s CPU, %.1f bytes a triangle%n", mesh.triangleCount(),
                    (System.nanoTime() - wall) * 1e-9, (processCpu() - cpu) * 1e-9, (double) tracer.bytes() / mesh.triangleCount());
        }
        int side = 512;
        RayBatch rays = new RayBatch(4 * side * side);
        for (int face = 0; face < 4; face++) {
            double c = Math.cos(face * Math.PI / 2 + 0.3), s = Math.sin(face * Math.PI / 2 + 0.3);
            for (int i = 0; i < side * side; i++) {
                double x = (even(i) + 0.5) / side * 1.8 - 0.9, y = (even(i >>> 1) + 0.5) / side * 1.8 - 0.9;
                rays.add((float) (2 * c - x * s), (float) y, (float) (2 * s + x * c), (float) -c, 0.01f, (float) -s, 0,
                        Float.POSITIVE_INFINITY);
            }
        }
        HitBatch hits = new HitBatch(rays.size);
        double[] p = new double[rounds];
        for (int i = 0; i < rounds; i++) {
            p[i] = closest(tracer, rays, hits);
        }
        HemisphereBatch points = new HemisphereBatch(rays.size / 4);
        float[] point = new float[3];
        float[] start = new float[3];
        for (int i = 0; i < rays.size && points.size < 65536; i++) {
            if (hits.triangle[i] >= 0) {
                int n = points.size++;
                for (int k = 0; k < 3; k++) {
                    float o = k == 0 ? rays.originX[i] : k == 1 ? rays.originY[i] : rays.originZ[i];
                    float d = k == 0 ? rays.directionX[i] : k == 1 ? rays.directionY[i] : rays.directionZ[i];
                    point[k] = o + hits.t[i] * d;
                }
                org.estampage.internal.kernel.RayStart.outside(mesh.positions(), mesh.positionIndices(), hits.triangle[i], point, 0, start);
                double l = Math.sqrt(point[0] * point[0] + point[1] * point[1] + point[2] * point[2]);
                points.x[n] = start[0];
                points.y[n] = start[1];
                points.z[n] = start[2];
                points.normalX[n] = (float) (point[0] / l);
                points.normalY[n] = (float) (point[1] / l);
                points.normalZ[n] = (float) (point[2] / l);
                points.seed[n] = n;
                points.count[n] = 16;
            }
        }
        double[] a = new double[rounds];
        HemisphereQuery query = new HemisphereQuery(HemisphereQuery.Distribution.COSINE, 16, Float.POSITIVE_INFINITY);
        for (int i = 0; i < rounds; i++) {
            long t = cpu();
            tracer.hemispheres(query, points);
            a[i] = 16.0 * points.size / (cpu() - t) * 1e3;
        }
        long open = Arrays.stream(points.open).sum();
        Arrays.sort(p);
        Arrays.sort(a);
        System.out.printf("P %.2f M rays/s (best %.2f), A %.2f (best %.2f), one thread; open %.4f%n", p[rounds / 2], p[rounds - 1],
                a[rounds / 2],
                a[rounds - 1], open / 16.0 / points.size);
    }

    private static double closest(RayTracer tracer, RayBatch rays, HitBatch hits) {
        RayBatch batch = new RayBatch(tracer.preferredBatchSize());
        HitBatch answers = new HitBatch(batch.capacity());
        long time = 0;
        for (int i = 0; i < rays.size; i += batch.size) {
            batch.size = 0;
            for (int k = i; k < Math.min(rays.size, i + batch.capacity()); k++) {
                batch.add(rays.originX[k], rays.originY[k], rays.originZ[k], rays.directionX[k], rays.directionY[k], rays.directionZ[k],
                        rays.tMin[k], rays.tMax[k]);
            }
            long t = cpu();
            tracer.closestHits(batch, Facing.FRONT, answers);
            time += cpu() - t;
            System.arraycopy(answers.t, 0, hits.t, i, batch.size);
            System.arraycopy(answers.triangle, 0, hits.triangle, i, batch.size);
        }
        return rays.size * 1e3 / time;
    }

    private static long processCpu() {
        return ((com.sun.management.OperatingSystemMXBean) ManagementFactory.getOperatingSystemMXBean()).getProcessCpuTime();
    }

    private static long cpu() {
        return ManagementFactory.getThreadMXBean().getCurrentThreadCpuTime();
    }

    private static int even(int i) {
        int x = i & 0x55555555;
        x = (x | x >>> 1) & 0x33333333;
        x = (x | x >>> 2) & 0x0f0f0f0f;
        x = (x | x >>> 4) & 0x00ff00ff;
        return (x | x >>> 8) & 0xffff;
    }
}
