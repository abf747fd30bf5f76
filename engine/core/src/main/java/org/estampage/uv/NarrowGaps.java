package org.estampage.uv;

import java.util.ArrayList;
import java.util.HashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import org.estampage.finding.Finding;
import org.estampage.finding.Place;

/**
 * Looks for charts that come nearer to themselves than the gutter: where the border faces the same chart's border across a narrow gap.
 *
 * <p>Both sides of a cut that ends inside a chart do so, and it does no harm: what a filter fetches from across the gap is next to it on the mesh, too.
 * Only gaps whose sides are apart on the mesh count.
 *
 * @threads confined
 * @cost a few comparisons a quarter of a gutter of all borders
 */
final class NarrowGaps {
    /** Sides of a gap are apart on the mesh from so many gutters on: as far as texels a gutter apart in a chart that is stretched to the double. */
    private static final double APART = 2;
    private static final int SAMPLES_PER_GUTTER = 4;
    /** No border is looked at in more places. */
    private static final int MOST_SAMPLES = 200_000;

    private final int gutter;
    private final List<Place> places = new ArrayList<>();
    private int charts;
    private double texels;

    /** Starts with no chart looked at. */
    NarrowGaps(int gutter) {
        this.gutter = gutter;
    }

    /** A place on a border: where it is in texels, which way is out, and where it is on the mesh. */
    private record Sample(double x, double y, double outX, double outY, double solidX, double solidY, double solidZ) {
        boolean faces(Sample other) {
            return (other.x - x) * outX + (other.y - y) * outY > 0;
        }

        double distance(Sample other) {
            return length(x - other.x, y - other.y, 0);
        }

        double onMesh(Sample other) {
            return length(solidX - other.solidX, solidY - other.solidY, solidZ - other.solidZ);
        }
    }

    /**
     * Looks at a chart.
     *
     * @param scale  texels a unit of the chart
     * @param xyz    of the mesh's vertices, in any unit
     * @param vertex the mesh's vertex at each of the chart's
     */
    void look(Chart chart, double scale, double[] xyz, int[] vertex) {
        double area = solidArea(chart, xyz, vertex);
        if (gutter == 0 || !(area > 0)) {
            return;
        }
        double solidScale = scale * Math.sqrt(chart.area() / area);
        int[] outline = chart.outline();
        double around = 0;
        for (int i = 0; i < outline.length; i += 2) {
            around += scale * edge(chart.uv, outline, i);
        }
        double step = Math.max((double) gutter / SAMPLES_PER_GUTTER, around / MOST_SAMPLES);
        Map<Long, List<Sample>> cells = new HashMap<>(); // asked for single cells only
        List<Sample> samples = new ArrayList<>();
        List<Integer> edges = new ArrayList<>();
        List<Double> lengths = new ArrayList<>();
        for (int i = 0; i < outline.length; i += 2) {
            double length = scale * edge(chart.uv, outline, i);
            int count = (int) Math.ceil(length / step);
            for (int k = 0; k < count; k++) {
                double part = (k + 0.5) / count;
                Sample s = sample(chart.uv, scale, xyz, solidScale, outline[i], outline[i + 1], vertex, part);
                samples.add(s);
                edges.add(i);
                lengths.add(length / count);
                cells.computeIfAbsent(cell(s, 0, 0), key -> new ArrayList<>()).add(s);
            }
        }
        double sum = 0;
        double widest = 0;
        int worst = -1;
        for (int i = 0; i < samples.size(); i++) {
            double apart = farthest(samples.get(i), cells);
            if (apart > APART * gutter) {
                sum += lengths.get(i);
            }
            if (apart > Math.max(widest, APART * gutter)) {
                widest = apart;
                worst = vertex[outline[edges.get(i)]];
            }
        }
        if (worst >= 0) {
            charts++;
            texels += sum;
            places.add(new Place.Element("vertex", worst));
        }
    }

    /** Returns how far the farthest of what a place faces within the gutter is on the mesh, in texels. */
    private double farthest(Sample s, Map<Long, List<Sample>> cells) {
        double farthest = 0;
        for (int i = -1; i <= 1; i++) {
            for (int j = -1; j <= 1; j++) {
                for (Sample other : cells.getOrDefault(cell(s, i, j), List.of())) {
                    if (s.faces(other) && other.faces(s) && s.distance(other) < gutter) {
                        farthest = Math.max(farthest, s.onMesh(other));
                    }
                }
            }
        }
        return farthest;
    }

    /** Returns the key of the cell that a place is in, or of one beside it; cells are as wide as the gutter. */
    private Long cell(Sample s, int right, int up) {
        long column = (long) Math.floor(s.x / gutter) + right;
        int row = (int) Math.floor(s.y / gutter) + up;
        return column << 32 | Integer.toUnsignedLong(row);
    }

    private static Sample sample(double[] uv, double scale, double[] xyz, double solidScale, int a, int b, int[] vertex, double part) {
        double dx = uv[2 * b] - uv[2 * a];
        double dy = uv[2 * b + 1] - uv[2 * a + 1];
        double length = length(dx, dy, 0);
        int i = 3 * vertex[a];
        int j = 3 * vertex[b];
        // inside is on the left
        return new Sample(scale * (uv[2 * a] + part * dx), scale * (uv[2 * a + 1] + part * dy), dy / length, -dx / length,
                solidScale * between(xyz[i], xyz[j], part), solidScale * between(xyz[i + 1], xyz[j + 1], part),
                solidScale * between(xyz[i + 2], xyz[j + 2], part));
    }

    private static double between(double from, double to, double part) {
        return from + part * (to - from);
    }

    private static double solidArea(Chart chart, double[] xyz, int[] vertex) {
        double sum = 0;
        for (int c = 0; c < chart.triangles.length; c += 3) {
            int i = 3 * vertex[chart.triangles[c]];
            int j = 3 * vertex[chart.triangles[c + 1]];
            int k = 3 * vertex[chart.triangles[c + 2]];
            double ux = xyz[j] - xyz[i];
            double uy = xyz[j + 1] - xyz[i + 1];
            double uz = xyz[j + 2] - xyz[i + 2];
            double vx = xyz[k] - xyz[i];
            double vy = xyz[k + 1] - xyz[i + 1];
            double vz = xyz[k + 2] - xyz[i + 2];
            sum += length(uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx) / 2;
        }
        return sum;
    }

    private static double edge(double[] uv, int[] outline, int i) {
        int a = outline[i];
        int b = outline[i + 1];
        return length(uv[2 * b] - uv[2 * a], uv[2 * b + 1] - uv[2 * a + 1], 0);
    }

    private static double length(double x, double y, double z) {
        return Math.sqrt(x * x + y * y + z * z);
    }

    /** Returns what was found, in one finding or none. */
    List<Finding> findings() {
        if (charts == 0) {
            return List.of();
        }
        return List.of(Finding.note("uv-narrow-gaps", charts,
                String.format(Locale.ROOT,
                        "%d charts come nearer to themselves than the gutter of %d texels, along %.0f texels of their borders, with sides that are apart on the mesh",
                        charts, gutter, texels),
                "put a seam between the two sides where coarse mips must not mix them", places));
    }
}
