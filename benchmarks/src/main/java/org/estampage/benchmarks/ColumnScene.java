package org.estampage.benchmarks;

import org.estampage.bvh.HemisphereBatch;
import org.estampage.bvh.HemisphereQuery;
import org.estampage.bvh.HitBatch;
import org.estampage.bvh.RayBatch;
import org.estampage.internal.kernel.Directions;
import org.estampage.internal.kernel.RayStart;
import org.estampage.mesh.Mesh;
import org.estampage.testresources.Shape;
import org.estampage.testresources.Shapes;

/** A carved column and the rays that a bake would send: projection rays from a cylinder around it in the order of texels, and occlusion points where they hit. */
final class ColumnScene {
    /** Projection rays; 1024² texels. */
    static final int RAYS = 1 << 20;
    /** Occlusion rays of one point. */
    static final int RAYS_PER_POINT = 16;

    private ColumnScene() {
    }

    static Mesh column(int triangles) {
        Shape shape = Shapes.carvedColumn(triangles);
        return Mesh.builder(shape.positions(), shape.triangles()).build();
    }

    static HemisphereQuery query() {
        return new HemisphereQuery(HemisphereQuery.Distribution.COSINE, RAYS_PER_POINT, Float.POSITIVE_INFINITY);
    }

    /** Appends projection ray {@code texel} of {@code side}², counted in Morton order over the unrolled cylinder. */
    static void addProjectionRay(int texel, int side, RayBatch dest) {
        double u = (even(texel) + 0.5) / side;
        double v = (even(texel >>> 1) + 0.5) / side;
        double cos = Math.cos(2 * Math.PI * u);
        double sin = Math.sin(2 * Math.PI * u);
        // A little downwards, as rays of a cage are never quite level.
        dest.add((float) (0.75 * cos), (float) (4 * v), (float) (-0.75 * sin), (float) -cos, -0.02f, (float) sin, 0,
                Float.POSITIVE_INFINITY);
    }

    /** Returns the bits 0, 2, 4 … of a Morton number. */
    static int even(int number) {
        int x = number & 0x55555555;
        x = (x | x >>> 1) & 0x33333333;
        x = (x | x >>> 2) & 0x0f0f0f0f;
        x = (x | x >>> 4) & 0x00ff00ff;
        return (x | x >>> 8) & 0xffff;
    }

    /** Appends hemisphere points where rays hit, as many as there is room for. */
    static void addPoints(Mesh mesh, RayBatch rays, HitBatch hits, HemisphereBatch dest) {
        float[] p = mesh.positions();
        float[] point = new float[3];
        float[] start = new float[3];
        for (int i = 0; i < rays.size && dest.size < dest.capacity(); i++) {
            int triangle = hits.triangle[i];
            if (triangle < 0) {
                continue;
            }
            int a = 3 * mesh.positionIndices()[3 * triangle];
            int b = 3 * mesh.positionIndices()[3 * triangle + 1];
            int c = 3 * mesh.positionIndices()[3 * triangle + 2];
            float b1 = hits.b1[i];
            float b2 = hits.b2[i];
            for (int k = 0; k < 3; k++) {
                point[k] = (1 - b1 - b2) * p[a + k] + b1 * p[b + k] + b2 * p[c + k];
            }
            RayStart.outside(p, mesh.positionIndices(), triangle, point, 0, start);
            double ux = (double) p[b] - p[a];
            double uy = (double) p[b + 1] - p[a + 1];
            double uz = (double) p[b + 2] - p[a + 2];
            double vx = (double) p[c] - p[a];
            double vy = (double) p[c + 1] - p[a + 1];
            double vz = (double) p[c + 2] - p[a + 2];
            double nx = uy * vz - uz * vy;
            double ny = uz * vx - ux * vz;
            double nz = ux * vy - uy * vx;
            double length = Math.sqrt(nx * nx + ny * ny + nz * nz);
            int n = dest.size++;
            dest.x[n] = start[0];
            dest.y[n] = start[1];
            dest.z[n] = start[2];
            dest.normalX[n] = (float) (nx / length);
            dest.normalY[n] = (float) (ny / length);
            dest.normalZ[n] = (float) (nz / length);
            dest.seed[n] = Directions.mix(n);
            dest.first[n] = 0;
            dest.count[n] = RAYS_PER_POINT;
        }
    }
}
