package org.estampage.uv;

import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.function.IntPredicate;
import java.util.function.Predicate;
import org.estampage.finding.Finding;
import org.estampage.finding.Findings;
import org.estampage.finding.Place;
import org.estampage.finding.Severity;
import org.estampage.finding.Tally;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.MeshCheck;
import org.estampage.mesh.MeshSource;
import org.estampage.task.Task;

/**
 * Looks a mesh's first UV set over: what will not bake well, and the measures. Changes nothing. {@link MeshCheck} says what is wrong with UVs one by one;
 * this says what is wrong with the layout.
 *
 * @threads safe for concurrent calls
 */
public final class UvCheck {
    /**
     * Texels between charts on the smallest mip level that matters: one for each chart's border, which filtering reads, and one that neither writes. Common
     * practice, no source.
     */
    static final double LEAST_GAP = 3;
    /** The longer side of the smallest mip level that matters; the usual gutter, a 128th of the size, is 4 texels there. */
    private static final int LEAST_SIDE = 512;
    /** A chart's density may differ from the mean by this factor, one mip level. */
    private static final double UNEVEN = 2;

    private UvCheck() {
    }

    /**
     * Returns what is worth knowing about the layout, each with its count and first places, in this order: {@code uv-layout} (all measures),
     * {@code stacked-charts}, {@code flipped-uvs}, {@code overlapping-uvs}, {@code charts-across-tiles}, {@code narrow-gutter},
     * {@code uneven-texel-density}.
     *
     * @edge without triangles or UVs, or with positions or UVs that are not finite, there is no layout and nothing to say; {@link MeshCheck} says why
     * @throws IllegalArgumentException                   if a side is not 1 … 65536
     * @throws java.util.concurrent.CancellationException if the task is cancelled
     */
    public static Findings check(MeshSource mesh, int width, int height, Task task) {
        Mesh built = mesh.build();
        PackingOptions.inRange("width", width, 1, UvMeasures.MOST_SIDE);
        PackingOptions.inRange("height", height, 1, UvMeasures.MOST_SIDE);
        return MeshCheck.problems(built, true).isEmpty() ? findings(UvMeasures.of(built, 0, width, height, task)) : Findings.none();
    }

    /** Returns what there is to say about measures that were taken. */
    public static Findings findings(UvMeasures uv) {
        List<Finding> found = new ArrayList<>();
        found.add(Finding.note("uv-layout", uv.charts().size(), uv.toString(), "nothing needs to be done", List.of()));
        charts(found, uv, c -> c.stackedOn() >= 0, Severity.NOTE, "stacked-charts", "chart shares texels with a copy of it",
                "charts share texels with a copy of them", "nothing, if that is meant");
        triangles(found, uv, t -> uv.flipped[t], "flipped-uvs", "triangle faces against its chart in the UVs",
                "triangles face against their charts in the UVs",
                "lay the charts flat again, unwrap(mesh).keepSeams(); maps of directions are wrong there");
        triangles(found, uv, t -> uv.overlapping[t], "overlapping-uvs", "triangle lies on others in the UVs" + areas(uv),
                "triangles lie on others in the UVs" + areas(uv),
                "part charts by repack(mesh); a chart that lies on itself needs unwrap(mesh).keepSeams() or further seams");
        charts(found, uv, c -> c.onTile() && c.acrossTiles(), Severity.WARNING, "charts-across-tiles",
                "chart reaches across its tile's border",
                "charts reach across their tile's border", "move them onto one tile, or repack(mesh); what is beyond gets no texels there");
        double needed = LEAST_GAP * Math.max(1, (double) Math.max(uv.width(), uv.height()) / LEAST_SIDE);
        int gutter = (int) Math.ceil(needed) + 1;
        String apart = String.format(Locale.ROOT, " than %.1f texels to another one, %.1f at the least: mip levels will mix", needed,
                uv.gap());
        charts(found, uv, c -> c.gap() < needed && c.overlapOutside() == 0, Severity.WARNING, "narrow-gutter",
                "chart is nearer" + apart + " it",
                "charts are nearer" + apart + " them",
                String.format(Locale.ROOT, "repack(mesh).size(%d, %d).gutterTexels(%d), or take a larger image",
                        uv.width(), uv.height(), gutter));
        double mean = uv.density().mean();
        charts(found, uv, c -> c.density().mean() > 0 && (c.density().mean() * UNEVEN < mean || c.density().mean() > UNEVEN * mean),
                Severity.WARNING, "uneven-texel-density",
                String.format(Locale.ROOT, "chart has less than half or more than twice the mean of %.4g texels a unit", mean),
                String.format(Locale.ROOT, "charts have less than half or more than twice the mean of %.4g texels a unit", mean),
                "repack(mesh) evens them out; nothing, if that is meant");
        return Findings.of(found);
    }

    private static String areas(UvMeasures uv) {
        return String.format(Locale.ROOT, ", %.4g square texels within charts and %.4g between charts", uv.overlapInside(),
                uv.overlapBetween());
    }

    private static void triangles(List<Finding> found, UvMeasures uv, IntPredicate wanted, String kind, String one, String many,
            String remedy) {
        Tally tally = new Tally();
        for (int t = 0; t < uv.chartOf.length; t++) {
            if (wanted.test(t)) {
                tally.add(new Place.Element("triangle", t));
            }
        }
        report(found, Severity.WARNING, kind, tally.count(), one, many, remedy, tally.places());
    }

    /** As above; a chart's place is its lowest triangle. */
    private static void charts(List<Finding> found, UvMeasures uv, Predicate<UvChart> wanted, Severity severity, String kind, String one,
            String many, String remedy) {
        List<UvChart> those = uv.charts().stream().filter(wanted).toList();
        List<Place> places = new ArrayList<>();
        for (UvChart chart : those.subList(0, Math.min(those.size(), Finding.MAX_PLACES))) {
            places.add(new Place.Element("triangle", chart.firstTriangle()));
        }
        report(found, severity, kind, those.size(), one, many, remedy, places);
    }

    private static void report(List<Finding> found, Severity severity, String kind, long count, String one, String many, String remedy,
            List<Place> places) {
        if (count > 0) {
            String message = count == 1 ? "1 " + one : String.format(Locale.ROOT, "%,d ", count) + many;
            found.add(new Finding(kind, severity, count, message, remedy, places));
        }
    }
}
