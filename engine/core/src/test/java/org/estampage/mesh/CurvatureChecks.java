package org.estampage.mesh;

import java.io.IOException;
import java.io.InputStream;
import java.nio.charset.StandardCharsets;
import java.util.Arrays;
import java.util.Objects;
import java.util.Random;
import org.estampage.task.Task;
import org.estampage.testresources.OffReader;
import org.estampage.testresources.Shape;
import org.estampage.testresources.Shapes;
import org.estampage.testresources.Tables;

/** What curvature checks measure. */
public final class CurvatureChecks {
    private CurvatureChecks() {
    }

    public static Mesh mesh(Shape shape) {
        return Mesh.builder(shape.positions(), shape.triangles()).build();
    }

    public static Curvature of(Mesh mesh, double length) {
        return Curvature.of(mesh, length, Task.silent());
    }

    public static double total(Mesh mesh, Curvature curvature) {
        // A third of each triangle's area belongs to each corner.
        double[] areas = FacetNormals.areas(mesh);
        double sum = 0;
        for (int c = 0; c < mesh.positionIndices().length; c++) {
            sum += areas[c / 3] / 3 * curvature.values()[mesh.positionIndices()[c]];
        }
        return sum;
    }

    /** Mean curvature of the torus of radii 2 and ½, from the two coordinates across its axis: half the sum of 1/r and cos φ/(R + r·cos φ). */
    public static double torus(float x, float y) {
        double cos = (StrictMath.hypot(x, y) - 2) / 0.5;
        return (1 / 0.5 + cos / (2 + 0.5 * cos)) / 2;
    }

    public static Mesh publishedTorus() throws IOException {
        try (InputStream in = Objects.requireNonNull(Tables.class.getResourceAsStream("curvature/torus_R2_r0.5.off"))) {
            return mesh(OffReader.parse(new String(in.readAllBytes(), StandardCharsets.US_ASCII), "torus"));
        }
    }

    static double medianEdge(Mesh mesh) {
        double[] edges = new double[mesh.positionIndices().length];
        for (int e = 0; e < edges.length; e++) {
            int a = 3 * mesh.positionIndices()[e], b = 3 * mesh.positionIndices()[Adjacency.next(e)];
            float[] p = mesh.positions();
            edges[e] = StrictMath.hypot(StrictMath.hypot(p[a] - p[b], p[a + 1] - p[b + 1]), p[a + 2] - p[b + 2]);
        }
        Arrays.sort(edges);
        return edges[edges.length / 2];
    }

    /** Largest errors of the published fit and of raw values on the published torus, and the relative root mean square of the latter. */
    public record TorusFit(double worstFit, double worstRaw, double rms) {
    }

    /** Compares raw curvature on the published torus with its closed form, beside the published fit. */
    public static TorusFit torusFit() throws IOException {
        // Source of the fit: CGAL 5.5.1, Monge_via_jet_fitting, degree 4, 3 rings (curvature/torus_R2_r0.5_jet.csv); its k are those of an inward normal.
        Mesh mesh = Normals.smooth(publishedTorus());
        double[][] fit = Tables.rows("curvature/torus_R2_r0.5_jet.csv");
        float[] raw = of(mesh, 0).values();
        double worstRaw = 0, worstFit = 0, square = 0, scale = 0;
        for (double[] row : fit) {
            int v = (int) row[0];
            double exact = torus(mesh.positions()[3 * v], mesh.positions()[3 * v + 1]);
            worstFit = Math.max(worstFit, Math.abs(-(row[1] + row[2]) / 2 - exact));
            worstRaw = Math.max(worstRaw, Math.abs(raw[v] - exact));
            square += (raw[v] - exact) * (raw[v] - exact);
            scale += exact * exact;
        }
        if (fit.length != mesh.vertexCount()) {
            throw new IllegalStateException(fit.length + " rows for " + mesh.vertexCount() + " vertices");
        }
        return new TorusFit(worstFit, worstRaw, Math.sqrt(square / scale));
    }

    /** Returns the relative root mean square error on a torus with noise, in edge lengths, averaged over two edges. */
    public static double roughTorus(double noise) {
        Shape shape = Shapes.torus(2, 0.5, 256, 100);
        float[] p = shape.positions().clone();
        double edge = medianEdge(mesh(shape));
        Random random = new Random(8);
        for (int i = 0; i < p.length; i++) {
            p[i] += (float) (noise * edge * random.nextGaussian());
        }
        Mesh mesh = Normals.smooth(Mesh.builder(p, shape.triangles()).build());
        float[] values = of(mesh, 2 * edge).values();
        double square = 0, scale = 0;
        for (int v = 0; v < values.length; v++) {
            double exact = torus(shape.positions()[3 * v], shape.positions()[3 * v + 2]);
            square += (values[v] - exact) * (values[v] - exact);
            scale += exact * exact;
        }
        return Math.sqrt(square / scale);
    }

    /** Returns the sum of angle deficits and the Euler characteristic by what Adjacency says. */
    public static double[] gaussBonnet(Mesh mesh) {
        Adjacency adjacency = Adjacency.of(mesh);
        int vertices = (int) Arrays.stream(mesh.positionIndices()).distinct().count();
        int edges = (int) java.util.stream.IntStream.range(0, adjacency.edgeCount()).filter(e -> adjacency.opposite(e) < e).count();
        float[] p = mesh.positions();
        double deficit = 2 * Math.PI * vertices;
        for (int c = 0; c < mesh.positionIndices().length; c++) {
            int a = 3 * mesh.positionIndices()[c], b = 3 * mesh.positionIndices()[Adjacency.next(c)],
                    o = 3 * mesh.positionIndices()[Adjacency.previous(c)];
            double dot = 0, one = 0, two = 0;
            for (int k = 0; k < 3; k++) {
                dot += ((double) p[b + k] - p[a + k]) * ((double) p[o + k] - p[a + k]);
                one += ((double) p[b + k] - p[a + k]) * ((double) p[b + k] - p[a + k]);
                two += ((double) p[o + k] - p[a + k]) * ((double) p[o + k] - p[a + k]);
            }
            deficit -= StrictMath.acos(Math.clamp(dot / Math.sqrt(one * two), -1, 1));
        }
        return new double[] {deficit, vertices - edges + mesh.triangleCount()};
    }
}
