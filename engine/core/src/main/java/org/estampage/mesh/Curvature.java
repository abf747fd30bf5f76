package org.estampage.mesh;

import java.util.Arrays;
import org.estampage.task.Task;

/**
 * The mean curvature of a mesh at its vertices, averaged over a length.
 *
 * <p>It is half the divergence of the shading normals, a third of each triangle's going to each corner, divided by the corner's share of the area. Where
 * normals break across an edge, the edge adds half the angle between them for each unit of its length. Then it spreads like heat until a point has run a
 * standard deviation of {@link #length} along each axis of the surface: raw values of a scan are noise.
 *
 * @units 1 over mesh units; positive where the surface is convex, 1/R on a sphere of radius R
 * @threads immutable
 * @source Rusinkiewicz, Estimating Curvatures and Their Derivatives on Triangle Meshes, 3DPVT 2004 (the divergence is the trace of its face tensors; from
 *         memory); Cohen-Steiner, Morvan, Restricted Delaunay Triangulations and Normal Cycle, SoCG 2003 (the share of edges; from memory); Desbrun et al.,
 *         Implicit Fairing, SIGGRAPH 1999 (spreading by implicit steps; from memory)
 */
public final class Curvature {
    /** What the estimate is called in files. */
    public static final String ESTIMATOR = "signed mean, divergence of the shading normals, spread by diffusion";
    /** The length by default, in median edges: shorter ones leave noise, longer ones take detail. */
    private static final double MEDIAN_EDGES = 2;
    /** And at least this part of the bounding box' diagonal, so that a denser copy of a mesh does not look rougher. */
    private static final double DIAGONAL_PART = 0.0025;
    /** Implicit steps of spreading: a single one has too long a tail, from four on the profile is close to a Gaussian. */
    private static final int STEPS = 4;
    /** Residual at which a step ends, beside what it began with: far below the error of any estimate. */
    private static final double RESIDUAL = 1e-5;
    private static final int MOST_ITERATIONS = 500;
    /** Normals whose cosine is nearer to 1 than this are one: rounding of float normals. */
    private static final double SAME = 1e-6;

    private final float[] values;
    private final double[] areas;
    private final double length;

    private Curvature(float[] values, double[] areas, double length) {
        this.values = values;
        this.areas = areas;
        this.length = length;
    }

    /**
     * Returns the length over which curvature is averaged by default: two median edges, or 0.25 % of the bounding box' diagonal where that is more.
     *
     * @edge a mesh without edges of any length: 0.25 % of its diagonal
     */
    public static double usualLength(Mesh mesh) {
        float[] p = mesh.positions();
        int[] corners = mesh.positionIndices();
        double[] edges = new double[corners.length];
        int n = 0;
        for (int e = 0; e < corners.length; e++) {
            double square = square(p, corners[e], corners[Adjacency.next(e)]);
            if (square > 0) {
                edges[n++] = square;
            }
        }
        Arrays.sort(edges, 0, n);
        double median = n == 0 ? 0 : Math.sqrt(edges[n / 2]);
        return Math.max(MEDIAN_EDGES * median, DIAGONAL_PART * mesh.bounds().diagonal());
    }

    /**
     * Returns the curvature of a mesh with normals.
     *
     * @param length the length to average over, in mesh units; 0 for raw values
     * @param task   to be asked whether to go on
     * @throws IllegalArgumentException if the mesh has no normals, or {@code length} is negative or not finite
     * @cost O(triangles) memory, some 150 bytes a triangle while it runs; a few seconds for 3 million
     */
    public static Curvature of(Mesh mesh, double length, Task task) {
        if (!(length >= 0) || !Double.isFinite(length)) {
            throw new IllegalArgumentException("length = " + length + " must be a length of 0 or more");
        }
        Attribute normals = mesh.normals().orElseThrow(() -> new IllegalArgumentException(mesh.title() + " has no normals"));
        int[] canonical = Welding.canonicalVertices(mesh, task);
        int[] corner = Welding.cornerVertices(mesh, canonical);
        double[] areas = new double[mesh.vertexCount()];
        double[] whole = new double[mesh.vertexCount()];
        addTriangles(mesh, normals, corner, areas, whole);
        task.check();
        addEdges(mesh, normals, Adjacency.of(mesh, canonical, task), corner, whole);
        task.check();
        double[] mean = new double[whole.length];
        for (int v = 0; v < mean.length; v++) {
            mean[v] = areas[v] > 0 ? whole[v] / areas[v] : 0;
        }
        if (length > 0) {
            new Spreading(mesh, corner, areas).spread(mean, length, task);
        }
        float[] values = new float[mean.length];
        for (int v = 0; v < values.length; v++) {
            values[v] = (float) mean[canonical[v]];
        }
        return new Curvature(values, areas, length);
    }

    /** Returns the value at each vertex of the mesh. The array is this object's. */
    public float[] values() {
        return values;
    }

    /** Returns the length over which it is averaged, in mesh units. */
    public double length() {
        return length;
    }

    /**
     * Returns the magnitude that a part of the surface, by area, does not exceed.
     *
     * @param part 0 … 1
     * @edge a mesh without area: 0
     * @throws IllegalArgumentException if {@code part} is out of range
     */
    public static float magnitude(Iterable<Curvature> of, double part) {
        if (!(part >= 0 && part <= 1)) {
            throw new IllegalArgumentException("part = " + part + " must be 0 … 1");
        }
        int count = 0;
        double total = 0;
        for (Curvature c : of) {
            count += c.values.length;
            for (double area : c.areas) {
                total += area;
            }
        }
        // Magnitudes are positive floats, whose bits sort as they do; the area rides along by its place.
        long[] order = new long[count];
        double[] areas = new double[count];
        int n = 0;
        for (Curvature c : of) {
            for (int v = 0; v < c.values.length; v++) {
                areas[n] = c.areas[v];
                order[n] = (long) Float.floatToIntBits(Math.abs(c.values[v])) << 32 | n;
                n++;
            }
        }
        Arrays.sort(order);
        double sum = 0;
        float magnitude = 0;
        for (long entry : order) {
            double area = areas[(int) entry];
            if (area > 0) {
                magnitude = Float.intBitsToFloat((int) (entry >>> 32));
                sum += area;
                if (sum >= part * total) {
                    break;
                }
            }
        }
        return magnitude;
    }

    private static double square(float[] p, int a, int b) {
        double x = (double) p[3 * b] - p[3 * a], y = (double) p[3 * b + 1] - p[3 * a + 1], z = (double) p[3 * b + 2] - p[3 * a + 2];
        return x * x + y * y + z * z;
    }

    /** Adds each triangle's area and ∫H = ¼ Σ nₖ·(n × eₖ) to its vertices; n is the facet's normal, eₖ the edge across from corner k. */
    private static void addTriangles(Mesh mesh, Attribute normals, int[] corner, double[] inoutAreas, double[] inoutWhole) {
        float[] p = mesh.positions();
        int[] at = mesh.positionIndices();
        float[] n = normals.values();
        int[] of = normals.indices();
        Facet facet = new Facet();
        for (int t = 0; t < at.length; t += 3) {
            facet.setNormal(p, at[t], at[t + 1], at[t + 2]);
            if (!(facet.doubleArea > 0)) {
                continue;
            }
            double sum = 0;
            for (int k = 0; k < 3; k++) {
                int from = 3 * at[t + (k + 1) % 3], to = 3 * at[t + (k + 2) % 3];
                double ex = (double) p[to] - p[from], ey = (double) p[to + 1] - p[from + 1], ez = (double) p[to + 2] - p[from + 2];
                int i = 3 * of[t + k];
                sum += n[i] * (facet.ny * ez - facet.nz * ey) + n[i + 1] * (facet.nz * ex - facet.nx * ez)
                        + n[i + 2] * (facet.nx * ey - facet.ny * ex);
            }
            for (int k = 0; k < 3; k++) {
                inoutWhole[corner[t + k]] += sum / 12;
                inoutAreas[corner[t + k]] += facet.doubleArea / 6;
            }
        }
    }

    /** Adds ∫H = ½ · length · angle of each edge across which normals break, half of it to either end by the break there. */
    private static void addEdges(Mesh mesh, Attribute normals, Adjacency adjacency, int[] corner, double[] inoutWhole) {
        float[] p = mesh.positions();
        int[] at = mesh.positionIndices();
        Facet facet = new Facet();
        for (int e = 0; e < at.length; e++) {
            int opposite = adjacency.opposite(e);
            if (opposite < e || !normals.breaksAt(e, opposite)) {
                continue;
            }
            int t = e - e % 3;
            facet.setNormal(p, at[t], at[t + 1], at[t + 2]);
            int from = 3 * at[e], to = 3 * at[Adjacency.next(e)];
            double ex = (double) p[to] - p[from], ey = (double) p[to + 1] - p[from + 1], ez = (double) p[to + 2] - p[from + 2];
            double length = Math.sqrt(ex * ex + ey * ey + ez * ez);
            // Out of this triangle, across the edge, in its plane.
            double ox = ey * facet.nz - ez * facet.ny, oy = ez * facet.nx - ex * facet.nz, oz = ex * facet.ny - ey * facet.nx;
            inoutWhole[corner[e]] += length / 4 * turn(normals, e, Adjacency.next(opposite), ox, oy, oz);
            inoutWhole[corner[Adjacency.next(e)]] += length / 4 * turn(normals, Adjacency.next(e), opposite, ox, oy, oz);
        }
    }

    /** Returns the angle between the normals at two corners, positive if the second leans outwards. */
    private static double turn(Attribute normals, int corner, int across, double ox, double oy, double oz) {
        float[] n = normals.values();
        int a = 3 * normals.indices()[corner], b = 3 * normals.indices()[across];
        double cosine = (double) n[a] * n[b] + (double) n[a + 1] * n[b + 1] + (double) n[a + 2] * n[b + 2];
        double lean = ((double) n[b] - n[a]) * ox + ((double) n[b + 1] - n[a + 1]) * oy + ((double) n[b + 2] - n[a + 2]) * oz;
        return cosine > 1 - SAME ? 0 : Math.signum(lean) * StrictMath.acos(Math.max(-1, cosine));
    }

    /**
     * Heat that flows along edges between the vertices' shares of the area, by implicit Euler steps, each solved by conjugate gradients.
     *
     * <p>An edge conducts by half the cotangent of the angle across from it, obtuse ones not at all: so no vertex ever leaves the range of the values around
     * it, and what flows out of one flows into another.
     */
    private static final class Spreading {
        private final int[] corner;
        private final double[] areas;
        /** Conductance of the edge across from each corner. */
        private final float[] conductance;
        private final double[] diagonal;

        Spreading(Mesh mesh, int[] corner, double[] areas) {
            this.corner = corner;
            this.areas = areas;
            conductance = new float[corner.length];
            diagonal = new double[areas.length];
            float[] p = mesh.positions();
            int[] at = mesh.positionIndices();
            Facet facet = new Facet();
            for (int t = 0; t < at.length; t += 3) {
                facet.setNormal(p, at[t], at[t + 1], at[t + 2]);
                for (int k = 0; k < 3 && facet.doubleArea > 0; k++) {
                    int o = 3 * at[t + k], a = 3 * at[t + (k + 1) % 3], b = 3 * at[t + (k + 2) % 3];
                    double dot = 0;
                    for (int axis = 0; axis < 3; axis++) {
                        dot += ((double) p[a + axis] - p[o + axis]) * ((double) p[b + axis] - p[o + axis]);
                    }
                    conductance[t + k] = (float) Math.max(0, dot / facet.doubleArea / 2);
                    diagonal[corner[t + (k + 1) % 3]] += conductance[t + k];
                    diagonal[corner[t + (k + 2) % 3]] += conductance[t + k];
                }
            }
        }

        void spread(double[] inout, double length, Task task) {
            // After the time s the variance along each axis is 2s.
            double step = length * length / 2 / STEPS;
            Task.Stage stage = task.stage("averaging curvature", STEPS);
            for (int s = 0; s < STEPS; s++) {
                step(inout, step, task);
                stage.advance(1);
            }
        }

        /** Solves (A + step · L)·x = A·x₀ with areas A and the Laplacian L, from x₀ on. */
        private void step(double[] x, double step, Task task) {
            int n = x.length;
            double[] r = new double[n], d = new double[n], q = new double[n];
            multiply(x, step, q);
            double first = 0;
            double rho = 0;
            for (int v = 0; v < n; v++) {
                r[v] = areas[v] * x[v] - q[v];
                d[v] = scaled(r[v], v, step);
                rho += r[v] * d[v];
                first += areas[v] * x[v] * x[v];
            }
            for (int i = 0; i < MOST_ITERATIONS && rho > RESIDUAL * RESIDUAL * first; i++) {
                task.check();
                multiply(d, step, q);
                double dq = 0;
                for (int v = 0; v < n; v++) {
                    dq += d[v] * q[v];
                }
                double alpha = rho / dq;
                double next = 0;
                for (int v = 0; v < n; v++) {
                    x[v] += alpha * d[v];
                    r[v] -= alpha * q[v];
                    next += r[v] * scaled(r[v], v, step);
                }
                double beta = next / rho;
                for (int v = 0; v < n; v++) {
                    d[v] = scaled(r[v], v, step) + beta * d[v];
                }
                rho = next;
            }
        }

        private double scaled(double value, int v, double step) {
            double weight = areas[v] + step * diagonal[v];
            return weight > 0 ? value / weight : 0;
        }

        private void multiply(double[] x, double step, double[] dest) {
            for (int v = 0; v < dest.length; v++) {
                dest[v] = areas[v] * x[v];
            }
            for (int t = 0; t < corner.length; t += 3) {
                int a = corner[t], b = corner[t + 1], c = corner[t + 2];
                double bc = step * conductance[t] * (x[b] - x[c]), ca = step * conductance[t + 1] * (x[c] - x[a]),
                        ab = step * conductance[t + 2] * (x[a] - x[b]);
                dest[a] += ab - ca;
                dest[b] += bc - ab;
                dest[c] += ca - bc;
            }
        }
    }
}
