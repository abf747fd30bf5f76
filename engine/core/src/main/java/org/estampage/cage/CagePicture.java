package org.estampage.cage;

import org.estampage.bvh.Facing;
import org.estampage.bvh.HitBatch;
import org.estampage.bvh.RayBatch;
import org.estampage.bvh.RayTracer;
import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.mesh.Bounds;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.MeshSource;
import org.estampage.task.Task;

/**
 * A picture of a cage around its high poly that shows where something is wrong.
 *
 * <p>Four views without perspective: along −z and −x above, along +z and −y below; up is +y, in the last view −z. The high poly is grey under a thin veil,
 * the cage, whose edges are drawn. What stands out of the cage is red. Cage triangles over which the space folds are violet, those that cross another one
 * are blue. A ring stands around each conflict (red) and each vertex with rays above the limit of slant (yellow), also where something hides the place.
 *
 * @threads stateless
 * @cost two rays a texel, a tree of the cage, and a {@link CageCheck#report}
 */
public final class CagePicture {
    /** Each view: the axes that run right, up and towards the viewer, and their signs. */
    private static final int[][] VIEWS = {{0, 1, 2, 1, 1, 1}, {2, 1, 0, -1, 1, 1}, {0, 1, 2, -1, 1, -1}, {0, 2, 1, 1, -1, 1}};
    /** The picture of the bounds takes this part of a view. */
    private static final double FILL = 0.92;
    private static final float[] GROUND = {0.03f, 0.035f, 0.04f};
    private static final float[] VEIL = {0.25f, 0.4f, 0.35f};
    private static final float[] RED = {0.9f, 0.04f, 0.02f};
    private static final float[] YELLOW = {0.9f, 0.6f, 0.02f};
    private static final float[] VIOLET = {0.5f, 0.05f, 0.6f};
    private static final float[] BLUE = {0.03f, 0.2f, 0.9f};
    /** A cage edge is as wide as this part of a view. */
    private static final double EDGE = 1 / 600.0;
    private static final int LEAST_SIZE = 64;
    private static final int MOST_SIZE = 8192;

    private final Mesh high;
    private final Mesh roof;
    private final RayTracer highTracer;
    private final RayTracer roofTracer;
    private final FloatImage image;
    private final int side;
    private final double[] middle;
    private final double scale;
    /** 1 where the space over a triangle folds, 2 where it crosses another. */
    private final byte[] marks;

    private CagePicture(Mesh high, RayTracer highTracer, Cage cage, int size, byte[] marks, Task task) {
        this.high = high;
        this.highTracer = highTracer;
        this.marks = marks;
        roof = cage.mesh();
        roofTracer = Trees.small(roof, task);
        side = size / 2;
        image = FloatImage.create(2 * side, 2 * side, Encoding.colour(3), task.memory());
        Bounds b = high.bounds().union(roof.bounds());
        middle = b.middle();
        double width = b.longestSide();
        scale = width > 0 ? FILL * side / width : 1; // texels a unit
    }

    /**
     * Draws the picture.
     *
     * @param size       its side in texels, even numbers are kept
     * @param slantLimit in degrees, as for {@link CageCheck#report}
     * @throws IllegalArgumentException                 if the size is not 64 … 8192
     * @throws org.estampage.mesh.InvalidMeshException if a mesh has no triangles or positions that are not finite, or the cage is of another low poly
     */
    public static FloatImage draw(MeshSource low, MeshSource high, CageSource cage, int size, double slantLimit, Task task) {
        if (size < LEAST_SIZE || size > MOST_SIZE) {
            throw new IllegalArgumentException("size = " + size + " must be " + LEAST_SIZE + " … " + MOST_SIZE);
        }
        Mesh floor = low.build();
        Mesh dense = high.build();
        Cage roof = cage.build();
        CageCheck.Examination examination = CageCheck.examine(floor, dense, roof, slantLimit, task);
        Shell shell = examination.rays.shell;
        CageCheck.Stored stored = examination.stored;
        byte[] marks = new byte[floor.triangleCount()];
        for (int t = 0; t < marks.length; t++) {
            if (CageFindings.isInverted(shell, stored.moves, stored.directions, t)) {
                marks[t] = 1;
            }
        }
        for (long pair : examination.ownCrossings) {
            marks[(int) (pair >>> 32)] = 2;
            marks[(int) pair] = 2;
        }
        CagePicture picture = new CagePicture(dense, examination.rays.tracer, roof, size, marks, task);
        Task.Stage stage = task.stage("cage picture", 2L * picture.side);
        for (int view = 0; view < 4; view++) {
            picture.view(view, stage);
        }
        double[] slants = CageCheck.slants(shell, stored.directions);
        for (int n = 0; n < slants.length; n++) {
            if (slants[n] > slantLimit) {
                picture.rings(stored.positions[3 * n], stored.positions[3 * n + 1], stored.positions[3 * n + 2], YELLOW);
            }
        }
        for (CageConflict conflict : examination.report.conflicts()) {
            picture.rings(conflict.x(), conflict.y(), conflict.z(), RED);
        }
        return picture.image;
    }

    private void view(int number, Task.Stage stage) {
        int[] v = VIEWS[number];
        int left = number % 2 * side, top = number / 2 * side;
        RayBatch rays = new RayBatch(side);
        HitBatch dense = new HitBatch(side), cage = new HitBatch(side);
        float[] row = new float[3 * side];
        double back = 2 * side / scale; // beyond the bounds, whose width is below one side
        for (int y = 0; y < side; y++) {
            rays.size = 0;
            for (int x = 0; x < side; x++) {
                double[] o = new double[3], d = new double[3];
                o[v[0]] = middle[v[0]] + v[3] * (x + 0.5 - 0.5 * side) / scale;
                o[v[1]] = middle[v[1]] + v[4] * (0.5 * side - y - 0.5) / scale;
                o[v[2]] = middle[v[2]] + v[5] * back;
                d[v[2]] = -v[5];
                rays.add((float) o[0], (float) o[1], (float) o[2], (float) d[0], (float) d[1], (float) d[2], 0, Float.POSITIVE_INFINITY);
            }
            highTracer.closestHits(rays, Facing.BOTH, dense);
            roofTracer.closestHits(rays, Facing.BOTH, cage);
            for (int x = 0; x < side; x++) {
                colour(x, v[2], dense, cage, row);
            }
            image.write(left, top + y, side, 1, row);
            stage.advance(number % 2);
        }
    }

    private void colour(int x, int axis, HitBatch dense, HitBatch cage, float[] row) {
        int h = dense.triangle[x], c = cage.triangle[x];
        for (int k = 0; k < 3; k++) {
            row[3 * x + k] = GROUND[k];
        }
        if (h >= 0) {
            double light = 0.08 + 0.5 * facing(high, h, axis);
            for (int k = 0; k < 3; k++) {
                row[3 * x + k] = (float) light;
            }
        }
        if (c < 0) {
            if (h >= 0) {
                mix(row, x, RED, 0.6f); // beside the cage
            }
            return;
        }
        if (h >= 0 && dense.t[x] < cage.t[x]) {
            mix(row, x, RED, 0.75f);
            return;
        }
        mix(row, x, VEIL, 0.12f);
        if (marks[c] != 0) {
            mix(row, x, marks[c] == 1 ? VIOLET : BLUE, 0.6f);
        }
        if (onEdge(c, cage.b1[x], cage.b2[x])) {
            mix(row, x, VEIL, 0.5f);
        }
    }

    private static void mix(float[] row, int x, float[] colour, float part) {
        for (int k = 0; k < 3; k++) {
            row[3 * x + k] += part * (colour[k] - row[3 * x + k]);
        }
    }

    private static double facing(Mesh mesh, int t, int axis) {
        double[] n = new double[3];
        Shell.unitNormal(corners(mesh, t), 0, 1, 2, n, 0);
        return Math.abs(n[axis]);
    }

    private static double[] corners(Mesh mesh, int t) {
        double[] p = new double[9];
        for (int k = 0; k < 9; k++) {
            p[k] = mesh.positions()[3 * mesh.positionIndices()[3 * t + k / 3] + k % 3];
        }
        return p;
    }

    /** Returns whether a point of a cage triangle lies close to one of its edges. */
    private boolean onEdge(int t, double b1, double b2) {
        double[] w = {1 - b1 - b2, b1, b2};
        double[] p = corners(roof, t);
        double ux = p[3] - p[0], uy = p[4] - p[1], uz = p[5] - p[2], wx = p[6] - p[0], wy = p[7] - p[1], wz = p[8] - p[2];
        double x = uy * wz - uz * wy, y = uz * wx - ux * wz, z = ux * wy - uy * wx;
        double area = Math.sqrt(x * x + y * y + z * z);
        for (int k = 0; k < 3; k++) { // the height over an edge is the weight of its opposite corner times twice the area by the edge's length
            int a = 3 * ((k + 1) % 3), b = 3 * ((k + 2) % 3);
            double ex = p[b] - p[a], ey = p[b + 1] - p[a + 1], ez = p[b + 2] - p[a + 2];
            if (w[k] * area * scale < EDGE * side * Math.sqrt(ex * ex + ey * ey + ez * ez)) {
                return true;
            }
        }
        return false;
    }

    private void rings(double px, double py, double pz, float[] colour) {
        double[] p = {px, py, pz};
        double radius = side / 70.0;
        double width = Math.max(1, side / 300.0);
        for (int number = 0; number < 4; number++) {
            int[] v = VIEWS[number];
            double cx = 0.5 * side + v[3] * (p[v[0]] - middle[v[0]]) * scale, cy = 0.5 * side - v[4] * (p[v[1]] - middle[v[1]]) * scale;
            int reach = (int) Math.ceil(radius + width);
            for (int y = Math.max(0, (int) cy - reach); y < Math.min(side, (int) cy + reach + 1); y++) {
                for (int x = Math.max(0, (int) cx - reach); x < Math.min(side, (int) cx + reach + 1); x++) {
                    double dx = x + 0.5 - cx, dy = y + 0.5 - cy;
                    if (Math.abs(Math.sqrt(dx * dx + dy * dy) - radius) < 0.5 * width) {
                        for (int k = 0; k < 3; k++) {
                            image.set(number % 2 * side + x, number / 2 * side + y, k, colour[k]);
                        }
                    }
                }
            }
        }
    }
}
