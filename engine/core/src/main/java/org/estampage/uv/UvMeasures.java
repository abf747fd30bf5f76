package org.estampage.uv;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Locale;
import java.util.Objects;
import org.estampage.mesh.Adjacency;
import org.estampage.mesh.InvalidMeshException;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.MeshCheck;
import org.estampage.mesh.MeshSource;
import org.estampage.task.Task;

/**
 * How good UVs are: distortion, texel density, fill, overlaps, flips and gaps, for each chart and in all. They may come from anywhere.
 *
 * <p>Triangles are of one chart where their UVs are the same on both sides of an edge; vertices at the same place count as one. Charts lie where their UVs
 * say: on the first tile, on another one, or on none. Those on different tiles don't overlap, and nothing is wrapped around.
 *
 * <p>Charts that lie exactly on each other are stacked, and so are copies a whole number of units apart of which one is outside of all tiles; they share
 * texels on purpose, so that is no overlap and no missing gap.
 *
 * <p>Distances and areas are computed from the UVs themselves, not from texels, and are right but for the rounding of doubles. An overlap shallower than 4
 * roundings of the UVs' floats is none, nor is a turned triangle that thin flipped.
 *
 * @space u right, v up
 * @units mesh units; texels of the image
 * @threads immutable; made on the caller's fork-join pool or the common one, with the same result on any number of threads
 * @cost O(n log n) for n triangles where few overlap; more where many lie on each other without being copies
 */
public final class UvMeasures {
    /** The longest side of an image. */
    static final int MOST_SIDE = 65536;

    private final Mesh mesh;
    private final int width;
    private final int height;
    private final List<UvChart> charts;
    /** The chart of each triangle. */
    final int[] chartOf;
    /** A triangle's symmetric Dirichlet energy at its chart's best scale; NaN where it is degenerate. */
    final double[] energies;
    /** Triangles that face against their chart. */
    final boolean[] flipped;
    /** Triangles that lie on others, stacked charts left out. */
    final boolean[] overlapping;
    /** Edges 3t + k with no other triangle joined to them. */
    final boolean[] border;
    private final UvDistortion distortion;
    private final TexelDensity density;
    private final int tileCount;
    private final double fill;
    private final double overlapInside;
    private final double overlapBetween;
    private final double seamLength;

    private UvMeasures(Mesh mesh, int width, int height, Task task) {
        this.mesh = mesh;
        this.width = width;
        this.height = height;
        UvCharts source = UvCharts.of(mesh, (double) width / height);
        int n = mesh.triangleCount();
        chartOf = new int[n];
        energies = new double[n];
        flipped = new boolean[n];
        border = source.border;
        UvLayout layout = new UvLayout(source, chartOf, (double) width / height, task);
        overlapping = layout.overlapping;
        List<UvChart> all = new ArrayList<>();
        StretchSum sum = new StretchSum();
        double[] means = new double[5];
        for (int c = 0; c < source.charts.length; c++) {
            all.add(chart(source, layout, c, sum, means));
        }
        charts = List.copyOf(all);
        density = sum.density();
        double area = sum.meshArea;
        distortion = area > 0
                ? new UvDistortion(means[0] / area, means[1] / area, means[2] / area, means[3] / area, means[4])
                : sum.distortion();
        tileCount = (int) charts.stream().filter(UvChart::onTile).mapToLong(c -> (long) c.row() << 32 | c.column()).distinct().count();
        double square = (double) height * height;
        double covered = 0;
        double inside = 0;
        double between = 0;
        for (int t = 0; t < n; t++) {
            covered += layout.covered[t];
            inside += layout.inside[t] * square;
            between += layout.again[t] * square;
        }
        fill = tileCount == 0 ? 0 : covered / ((double) width / height) / tileCount;
        overlapInside = inside;
        overlapBetween = between;
        seamLength = seamLength(source);
    }

    /**
     * Measures the first UV set.
     *
     * @throws InvalidMeshException     if there are no triangles or no UVs, or positions or UVs are not finite
     * @throws IllegalArgumentException if a side is not 1 … 65536
     */
    public static UvMeasures of(MeshSource mesh, int width, int height) {
        return of(mesh, 0, width, height, Task.silent());
    }

    /**
     * Measures a UV set.
     *
     * @param set which, from 0
     * @throws InvalidMeshException     if there are no triangles or no UVs, or positions or UVs are not finite
     * @throws IllegalArgumentException if a side is not 1 … 65536, or there is no such set
     * @throws java.util.concurrent.CancellationException if the task is cancelled
     */
    public static UvMeasures of(MeshSource mesh, int set, int width, int height, Task task) {
        PackingOptions.inRange("width", width, 1, MOST_SIDE);
        PackingOptions.inRange("height", height, 1, MOST_SIDE);
        Objects.requireNonNull(task, "task");
        Mesh whole = mesh.build();
        Mesh measured = whole;
        if (!whole.uvSets().isEmpty()) {
            PackingOptions.inRange("set", set, 0, whole.uvSets().size() - 1);
            measured = set == 0 ? whole : whole.toBuilder().noUvSets().uvSet(whole.uvSets().get(set)).build();
        }
        InvalidMeshException.throwIfAny(MeshCheck.problems(measured, true));
        return new UvMeasures(measured, width, height, task);
    }

    private UvChart chart(UvCharts source, UvLayout layout, int c, StretchSum total, double[] inoutMeans) {
        int[] triangles = source.charts[c];
        KeptChart kept = layout.kept[c];
        double rounding = kept.rounding();
        double signed = 0;
        for (int t : triangles) {
            signed += turn(source, t);
        }
        StretchSum sum = new StretchSum();
        int flips = 0;
        int degenerate = 0;
        double inside = 0;
        double outside = 0;
        double length = 0;
        double[][] stretches = new double[triangles.length][];
        for (int i = 0; i < triangles.length; i++) {
            int t = triangles[i];
            inside += layout.inside[t];
            outside += layout.outside[t];
            for (int k = 0; k < 3; k++) {
                length += source.border[3 * t + k] ? edgeLength(3 * t + k) : 0;
            }
            double turn = signed < 0 ? -turn(source, t) : turn(source, t);
            boolean against = turn < 0;
            if (against && turn < -slack(source, t, rounding)) {
                flipped[t] = true;
                flips++;
                against = false;
            }
            double[] found = StretchSum.stretches(solid(t), flat(source, t));
            if (found == null || against) {
                degenerate++;
                energies[t] = Double.NaN;
            } else {
                stretches[i] = found;
                sum.add(found);
                total.add(found);
            }
        }
        double best = sum.bestScale();
        for (int i = 0; i < triangles.length; i++) {
            double[] s = stretches[i];
            if (s != null) {
                energies[triangles[i]] = StretchSum.energy(best * s[0], best * s[1]);
            }
        }
        UvDistortion own = sum.distortion();
        if (sum.meshArea > 0) {
            inoutMeans[0] += sum.meshArea * own.energy();
            inoutMeans[1] += sum.meshArea * own.area();
            inoutMeans[2] += sum.meshArea * own.angle();
            inoutMeans[3] += sum.meshArea * own.stretch();
            inoutMeans[4] = Math.max(inoutMeans[4], own.mostAngle());
        }
        double square = (double) height * height;
        return new UvChart(triangles[0], triangles.length, layout.column[c], layout.row[c], signed < 0, flips, degenerate, kept.area,
                kept.uvArea * square, length, own, sum.density(), inside * square, outside * square, layout.stackedOn[c],
                layout.gap[c] * height, layout.margin[c] * height);
    }

    private double[] solid(int t) {
        double[] xyz = new double[9];
        for (int i = 0; i < 9; i++) {
            xyz[i] = mesh.positions()[3 * mesh.positionIndices()[3 * t + i / 3] + i % 3];
        }
        return xyz;
    }

    private double[] flat(UvCharts source, int t) {
        double[] xy = new double[6];
        for (int i = 0; i < 6; i++) {
            xy[i] = source.uv[2 * source.point[3 * t + i / 2] + i % 2] * height;
        }
        return xy;
    }

    /** Returns twice a triangle's signed area in UV space. */
    private static double turn(UvCharts source, int t) {
        double[] uv = source.uv;
        int a = 2 * source.point[3 * t];
        int b = 2 * source.point[3 * t + 1];
        int c = 2 * source.point[3 * t + 2];
        return (uv[b] - uv[a]) * (uv[c + 1] - uv[a + 1]) - (uv[b + 1] - uv[a + 1]) * (uv[c] - uv[a]);
    }

    /** Returns how far rounding of the UVs may be off in {@link #turn}: each of four factors by two roundings at most. */
    private static double slack(UvCharts source, int t, double rounding) {
        double[] uv = source.uv;
        double sum = 0;
        for (int k = 1; k < 3; k++) {
            for (int i = 0; i < 2; i++) {
                sum += Math.abs(uv[2 * source.point[3 * t + k] + i] - uv[2 * source.point[3 * t] + i]);
            }
        }
        return 2 * rounding * sum;
    }

    private double edgeLength(int corner) {
        int a = 3 * mesh.positionIndices()[corner];
        int b = 3 * mesh.positionIndices()[Adjacency.next(corner)];
        double sum = 0;
        for (int k = 0; k < 3; k++) {
            double d = (double) mesh.positions()[b + k] - mesh.positions()[a + k];
            sum += d * d;
        }
        return Math.sqrt(sum);
    }

    /** Sums the edges that are borders of charts and have triangles on more than one side. */
    private double seamLength(UvCharts source) {
        int n = source.corner.length;
        long[] edges = new long[n];
        for (int e = 0; e < n; e++) {
            edges[e] = edge(source, e);
        }
        Arrays.sort(edges);
        double sum = 0;
        boolean[] done = new boolean[n];
        for (int e = 0; e < n; e++) {
            if (source.border[e]) {
                int at = Arrays.binarySearch(edges, edge(source, e));
                int first = at;
                while (first > 0 && edges[first - 1] == edges[at]) {
                    first--;
                }
                boolean shared = first + 1 < n && edges[first + 1] == edges[first];
                if (shared && !done[first]) {
                    done[first] = true;
                    sum += edgeLength(e);
                }
            }
        }
        return sum;
    }

    private static long edge(UvCharts source, int e) {
        int a = source.corner[e];
        int b = source.corner[Adjacency.next(e)];
        return (long) Math.min(a, b) << 32 | Math.max(a, b);
    }

    /** Returns the mesh with the measured set as its first one. */
    Mesh mesh() {
        return mesh;
    }

    /** Returns the image's width in texels. */
    public int width() {
        return width;
    }

    /** Returns the image's height in texels. */
    public int height() {
        return height;
    }

    /** Returns what was measured of each chart, in the order of their lowest triangles. */
    public List<UvChart> charts() {
        return charts;
    }

    /** Returns the mean of the charts' distortions, weighted with their measured area on the mesh; the largest angle is that of all. */
    public UvDistortion distortion() {
        return distortion;
    }

    /** Returns the largest energy of a chart's distortion; 1 if none could be measured. */
    public double worstChartEnergy() {
        return charts.stream().mapToDouble(c -> c.distortion().energy()).filter(e -> !Double.isNaN(e)).max().orElse(1);
    }

    /** Returns the texel density of all charts. */
    public TexelDensity density() {
        return density;
    }

    /** Returns how many tiles have charts on them. */
    public int tileCount() {
        return tileCount;
    }

    /** Returns the part of those tiles that is covered by charts whose middle is on them, 0 … 1; what is covered twice counts once. */
    public double fill() {
        return fill;
    }

    /** Returns the area that charts cover again themselves, in square texels: what lies k times in one chart counts k − 1 times. */
    public double overlapInside() {
        return overlapInside;
    }

    /** Returns the area that charts cover again after the charts before them, stacked ones left out, in square texels. */
    public double overlapBetween() {
        return overlapBetween;
    }

    /** Returns how many triangles lie on others, stacked charts left out. */
    public int overlappingTriangles() {
        return count(overlapping);
    }

    /** Returns how many triangles face against the larger part of their chart. */
    public int flippedTriangles() {
        return count(flipped);
    }

    /** Returns how many triangles have no area on the mesh or in UV space, or are turned by so little that rounding explains it. */
    public int degenerateTriangles() {
        return charts.stream().mapToInt(UvChart::degenerate).sum();
    }

    /** Returns the length of seams on the mesh, each counted once, in mesh units; open borders are no seams. */
    public double seamLength() {
        return seamLength;
    }

    /** Returns the least distance of two charts on one tile, stacked ones left out, in texels; infinite if there are no two. */
    public double gap() {
        return charts.stream().mapToDouble(UvChart::gap).min().orElse(Double.POSITIVE_INFINITY);
    }

    /**
     * Returns the last mip level on which at least three texels lie between charts: enough for each chart's own border texel and one that neither touches;
     * −1 if there is none.
     */
    public int lastCleanMipLevel() {
        double gap = gap();
        int level = -1;
        while (level < 16 && gap >= UvCheck.LEAST_GAP * (1 << (level + 1))) {
            level++;
        }
        return level;
    }

    private static int count(boolean[] flags) {
        int sum = 0;
        for (boolean flag : flags) {
            sum += flag ? 1 : 0;
        }
        return sum;
    }

    /**
     * Returns the bytes that textures of this size take, one for each tile that is used and at least one, uncompressed.
     *
     * @throws IllegalArgumentException if there are not 1 … 4 channels, or not 1, 2 or 4 bytes each
     */
    public long textureBytes(int channels, int bytesPerChannel, boolean mips) {
        return Math.max(1, tileCount) * textureBytes(width, height, channels, bytesPerChannel, mips);
    }

    /**
     * Returns the bytes that one texture takes, uncompressed. A level of its mip chain has half the sides of the one before, rounded down and at least 1,
     * until both are 1.
     *
     * @throws IllegalArgumentException if a side is not 1 … 65536, there are not 1 … 4 channels, or not 1, 2 or 4 bytes each
     */
    public static long textureBytes(int width, int height, int channels, int bytesPerChannel, boolean mips) {
        PackingOptions.inRange("width", width, 1, MOST_SIDE);
        PackingOptions.inRange("height", height, 1, MOST_SIDE);
        PackingOptions.inRange("channels", channels, 1, 4);
        if (bytesPerChannel != 1 && bytesPerChannel != 2 && bytesPerChannel != 4) {
            throw new IllegalArgumentException("bytesPerChannel = " + bytesPerChannel + " must be 1, 2 or 4");
        }
        long texels = (long) width * height;
        for (int side = Math.max(width, height), level = 1; mips && side >> level > 0; level++) {
            texels += (long) Math.max(1, width >> level) * Math.max(1, height >> level);
        }
        return texels * channels * bytesPerChannel;
    }

    /** Returns the measures in one sentence. */
    @Override
    public String toString() {
        return String.format(Locale.ROOT,
                "%,d %s %.1f %% of %s%,d × %,d texels; distortion %.4g, %.4g in the worst chart (area %.4g, angle %.4g, stretch %.4g); %.4g texels a"
                        + " unit (%.4g … %.4g); seams of %.4g units; %s; %,d bytes as RGBA of 8 bits with mips",
                charts.size(), charts.size() == 1 ? "chart covers" : "charts cover", 100 * fill,
                tileCount > 1 ? tileCount + " tiles of " : "",
                width, height, distortion.energy(), worstChartEnergy(), distortion.area(), distortion.angle(), distortion.stretch(),
                density.mean(), density.least(), density.most(), seamLength,
                Double.isInfinite(gap()) ? "no two charts on a tile" : String.format(Locale.ROOT, "gaps of %.4g texels and more", gap()),
                textureBytes(4, 1, true));
    }
}
