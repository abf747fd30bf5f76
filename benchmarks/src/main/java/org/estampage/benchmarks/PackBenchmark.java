package org.estampage.benchmarks;

import java.util.Random;
import java.util.concurrent.TimeUnit;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Mesh;
import org.estampage.uv.Repack;
import org.openjdk.jmh.annotations.Benchmark;
import org.openjdk.jmh.annotations.BenchmarkMode;
import org.openjdk.jmh.annotations.Fork;
import org.openjdk.jmh.annotations.Level;
import org.openjdk.jmh.annotations.Measurement;
import org.openjdk.jmh.annotations.Mode;
import org.openjdk.jmh.annotations.OutputTimeUnit;
import org.openjdk.jmh.annotations.Param;
import org.openjdk.jmh.annotations.Scope;
import org.openjdk.jmh.annotations.Setup;
import org.openjdk.jmh.annotations.State;
import org.openjdk.jmh.annotations.Warmup;

/** Time to pack charts with ragged outlines by their silhouettes, a gutter of 16 texels of 2048 between them. */
@State(Scope.Benchmark)
@BenchmarkMode(Mode.AverageTime)
@OutputTimeUnit(TimeUnit.MILLISECONDS)
@Warmup(iterations = 1, time = 2)
@Measurement(iterations = 2, time = 2)
@Fork(value = 2, jvmArgsAppend = {"-Xmx4g", "--add-modules", "jdk.incubator.vector"})
public class PackBenchmark {
    private static final int SIDE = 2048;
    private static final int GUTTER = 16;
    /** Corners around a chart. */
    private static final int CORNERS = 60;
    /** Texels that UVs as floats may be off by: 6e-8 of the side, before and after. */
    private static final double ROUNDING = 1e-3;

    /** How many charts there are. */
    @Param({"40", "400"})
    public int charts;

    private Mesh flat;

    /** Makes the benchmark; JMH fills it. */
    @SuppressWarnings("NullAway.Init")
    public PackBenchmark() {
    }

    /**
     * Generates the charts, fans of triangles flat in space and in UV space, packs them once and measures every gap.
     *
     * @throws IllegalStateException if two charts, or a chart and the border, are too near each other
     */
    @Setup(Level.Trial)
    public void generate() {
        Random random = new Random(charts);
        int entries = CORNERS + 1;
        float[] xyz = new float[3 * charts * entries];
        float[] uv = new float[2 * charts * entries];
        int[] corners = new int[3 * charts * CORNERS];
        for (int c = 0; c < charts; c++) {
            double size = 0.2 + random.nextDouble() * random.nextDouble();
            double slimness = 0.3 + 0.7 * random.nextDouble();
            double ragged = random.nextDouble();
            for (int i = 0; i < entries; i++) {
                int e = c * entries + i;
                double angle = 2 * Math.PI * i / CORNERS;
                double radius = i == CORNERS ? 0 : size * (1 + 0.4 * Math.sin(3 * angle + 6 * ragged) + 0.2 * ragged * random.nextDouble());
                xyz[3 * e] = (float) (radius * Math.cos(angle));
                xyz[3 * e + 1] = (float) (slimness * radius * Math.sin(angle));
                xyz[3 * e + 2] = c; // one above the other
                uv[2 * e] = xyz[3 * e];
                uv[2 * e + 1] = xyz[3 * e + 1];
                if (i < CORNERS) {
                    int at = 3 * (c * CORNERS + i);
                    corners[at] = c * entries + CORNERS;
                    corners[at + 1] = e;
                    corners[at + 2] = c * entries + (i + 1) % CORNERS;
                }
            }
        }
        flat = Mesh.builder(xyz, corners).uvSet(new Attribute("uv", 2, uv, corners)).build();
        check(repack().uvSets().get(0));
    }

    /** Packs them. */
    @Benchmark
    public Mesh repack() {
        return Repack.of(flat).size(SIDE).gutterTexels(GUTTER).build();
    }

    private void check(Attribute uv) {
        int length = 3 * CORNERS;
        for (int a = 0; a < charts; a++) {
            for (int c = a * length; c < (a + 1) * length; c++) {
                double x = texels(uv, c, 0);
                double y = texels(uv, c, 1);
                double border = Math.min(Math.min(x, SIDE - x), Math.min(y, SIDE - y));
                if (border < GUTTER / 2.0 - ROUNDING) {
                    throw new IllegalStateException("chart " + a + " is " + border + " texels from the border");
                }
                for (int b = 0; b < charts; b++) {
                    if (b != a) {
                        checkAgainst(uv, b, x, y, a);
                    }
                }
            }
        }
    }

    /** Looks at a chart's outer edges, the middle ones of its fan's triangles. */
    private static void checkAgainst(Attribute uv, int chart, double x, double y, int other) {
        for (int i = 0; i < CORNERS; i++) {
            int from = 3 * (chart * CORNERS + i) + 1;
            double x0 = texels(uv, from, 0);
            double y0 = texels(uv, from, 1);
            double dx = texels(uv, from + 1, 0) - x0;
            double dy = texels(uv, from + 1, 1) - y0;
            double part = Math.max(0, Math.min(1, ((x - x0) * dx + (y - y0) * dy) / (dx * dx + dy * dy)));
            double gap = Math.hypot(x - x0 - part * dx, y - y0 - part * dy);
            if (gap < GUTTER - ROUNDING) {
                throw new IllegalStateException("charts " + other + " and " + chart + " are " + gap + " texels apart");
            }
        }
    }

    private static double texels(Attribute uv, int corner, int axis) {
        return (double) uv.values()[2 * uv.indices()[corner] + axis] * SIDE;
    }
}
