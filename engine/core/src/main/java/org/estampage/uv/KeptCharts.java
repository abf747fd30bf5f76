package org.estampage.uv;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Locale;
import org.estampage.finding.Finding;
import org.estampage.finding.Place;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.InvalidMeshException;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.MeshCheck;
import org.estampage.mesh.MeshProblem;
import org.estampage.mesh.MeshSource;
import org.jspecify.annotations.Nullable;

/**
 * Packing charts that meshes have: what {@link Atlas} and {@link Repack} have in common.
 *
 * @param <S> the operation, which the options return
 * @threads confined
 */
abstract sealed class KeptCharts<S extends KeptCharts<S>> extends PackingOptions<S> permits Atlas, Repack {
    /**
     * A chart is enlarged to its area on the mesh, but its edges to no more than this multiple of their lengths: one that hardly covers anything in UV
     * space, a strip of 200 : 1 or thinner for a square on the mesh, would become a needle longer than the image.
     */
    private static final double LONGEST = 10;

    private double aspect = 1;
    private boolean keepDensities;
    private boolean repeating;

    KeptCharts() {
    }

    /**
     * Says which size of image the present UVs were made for: of one that is not square, so that charts are stretched in UV space. Only the ratio counts.
     *
     * @throws IllegalArgumentException if a side is not 1 … 65536
     */
    public S laidOutFor(int width, int height) {
        aspect = (double) inRange("width", width, 1, 65536) / inRange("height", height, 1, 65536);
        return self();
    }

    /** Keeps the charts of a mesh as large as they are beside each other; by default each gets the same texel density. */
    public S keepDensities() {
        keepDensities = true;
        return self();
    }

    /**
     * Says that the present UVs are for an image that repeats: charts a whole number of units apart are copies of each other. By default they are only if
     * one of them lies outside of all tiles.
     */
    public S repeating() {
        repeating = true;
        return self();
    }

    /** A mesh with its charts, those that lie on each other in one stack, and those that have no place. */
    private static final class Prop {
        final UvCharts charts;
        final List<List<Stacks.Member>> stacks;
        /** Whether a triangle is of a chart that covers nothing. */
        final boolean[] without;
        final List<Place> folded = new ArrayList<>();
        final List<Place> empty = new ArrayList<>();
        double area;
        double uvArea;

        Prop(UvCharts charts, double aspect, boolean repeating) {
            this.charts = charts;
            without = new boolean[charts.mesh.triangleCount()];
            Stacks found = new Stacks(aspect, repeating);
            for (int[] triangles : charts.charts) {
                KeptChart chart = new KeptChart(charts, triangles);
                Place place = new Place.Element("triangle", triangles[0]);
                if (chart.empty()) {
                    empty.add(place);
                    for (int t : triangles) {
                        without[t] = true;
                    }
                    continue;
                }
                if (chart.folded()) {
                    folded.add(place);
                }
                area += chart.area;
                uvArea += chart.uvArea;
                found.add(chart);
            }
            stacks = found.stacks();
        }
    }

    /**
     * Returns the meshes with their charts packed together.
     *
     * @param weights multiples of the texel density, one a mesh
     * @throws InvalidMeshException if a mesh with triangles has no UVs, or positions or UVs are not finite
     */
    List<Mesh> packed(List<MeshSource> sources, double[] weights) {
        List<Mesh> meshes = sources.stream().map(MeshSource::build).toList();
        List<MeshProblem> problems = new ArrayList<>();
        for (Mesh mesh : meshes) {
            if (mesh.triangleCount() > 0) {
                problems.addAll(MeshCheck.problems(mesh, true));
            }
        }
        InvalidMeshException.throwIfAny(problems);
        List<@Nullable Prop> props = new ArrayList<>();
        double area = 0;
        for (Mesh mesh : meshes) {
            task().check();
            Prop prop = mesh.triangleCount() == 0 ? null : new Prop(UvCharts.of(mesh, aspect), aspect, repeating);
            props.add(prop);
            area += prop == null ? 0 : prop.area;
        }
        double unit = area > 0 ? Math.sqrt(area) : 1;
        List<Chart> charts = new ArrayList<>();
        for (int p = 0; p < weights.length; p++) {
            Prop prop = props.get(p);
            if (prop != null) {
                for (List<Stacks.Member> stack : prop.stacks) {
                    double[] box = stack.get(0).chart().box;
                    charts.add(stack.get(0).chart().shape(box[0], box[1], factor(prop, stack) / unit, weights[p]));
                }
            }
        }
        Packed packed = pack(charts, unit);
        List<Mesh> result = new ArrayList<>();
        int first = 0;
        for (int p = 0; p < weights.length; p++) {
            Prop prop = props.get(p);
            if (prop == null) {
                result.add(meshes.get(p));
                continue;
            }
            int end = first + prop.stacks.size();
            result.add(finished(prop, charts.subList(first, end), packed, packed.placements().subList(first, end), unit, weights[p],
                    charts.size()));
            first = end;
        }
        return List.copyOf(result);
    }

    private Mesh finished(Prop prop, List<Chart> charts, Packed packed, List<Placement> placements, double unit, double weight, int all) {
        NarrowGaps gaps = new NarrowGaps(packed.room().gutter());
        for (int s = 0; s < charts.size(); s++) {
            gaps.look(charts.get(s), placements.get(s).scale(), prop.charts.xyz, prop.stacks.get(s).get(0).chart().vertices());
        }
        return with(prop, placements, packed.room(), unit).toBuilder().findings(findings(prop, packed, weight, all))
                .findings(gaps.findings()).build();
    }

    /** Returns how many mesh units a unit of UV of a stack shall be. */
    private double factor(Prop prop, List<Stacks.Member> stack) {
        if (keepDensities) {
            return Math.sqrt(prop.area / prop.uvArea);
        }
        double most = 0;
        for (Stacks.Member m : stack) { // none shall get less than it ought to
            most = Math.max(most, Math.min(Math.sqrt(m.chart().area / m.chart().uvArea), LONGEST * m.chart().stretch));
        }
        return most;
    }

    private static boolean thin(KeptChart chart) {
        return Math.sqrt(chart.area / chart.uvArea) > LONGEST * chart.stretch;
    }

    /**
     * Returns a mesh whose charts lie where they were placed. Those of a stack that lay whole units apart lie below all tiles then.
     *
     * @param unit mesh units a unit of the placed charts
     */
    private Mesh with(Prop prop, List<Placement> placements, Room room, double unit) {
        UvCharts old = prop.charts;
        int[] indices = new int[old.corner.length];
        Arrays.fill(indices, -1);
        Entries entries = new Entries(prop);
        for (int s = 0; s < placements.size(); s++) {
            List<Stacks.Member> stack = prop.stacks.get(s);
            double[] box = stack.get(0).chart().box;
            double factor = factor(prop, stack) / unit;
            for (Stacks.Member m : stack) {
                double[] local = m.chart().shape(box[0] + m.unitsRight() * aspect, box[1] + m.unitsUp(), factor, 1).uv;
                entries.put(s, m, placements.get(s).uvs(local, room), m.inPlace() ? 0 : room.rows(), indices);
            }
        }
        boolean spare = Points.give(old.corner, old.mesh.vertexCount(), prop.without, indices, entries.used);
        Attribute uv = new Attribute(old.mesh.uvSets().get(0).name(), 2, entries.values(spare), indices);
        Mesh.Builder builder = old.mesh.toBuilder().noUvSets().tangents(null).uvSet(uv);
        old.mesh.uvSets().stream().skip(1).forEach(builder::uvSet);
        return builder.build();
    }

    /** The entries of a new UV set; charts in the same place share theirs. */
    private static final class Entries {
        private final float[] values;
        private int used;
        /** The entry of each point of the old set, and what it was made for last. */
        private final int[] entry;
        private final int[] stackOf;
        private final Stacks.@Nullable Member[] madeFor;

        Entries(Prop prop) {
            int count = 1;
            for (List<Stacks.Member> stack : prop.stacks) {
                for (Stacks.Member m : stack) {
                    count += m.chart().points.length;
                }
            }
            values = new float[2 * count];
            int points = prop.charts.uv.length / 2;
            entry = new int[points];
            stackOf = new int[points];
            madeFor = new Stacks.@Nullable Member[points];
        }

        void put(int stack, Stacks.Member member, double[] uv, int unitsBelow, int[] indices) {
            KeptChart chart = member.chart();
            for (int i = 0; i < chart.points.length; i++) {
                int p = chart.points[i];
                Stacks.Member before = madeFor[p];
                if (before == null || stackOf[p] != stack || !before.on(member)) {
                    values[2 * used] = (float) uv[2 * i];
                    values[2 * used + 1] = (float) (uv[2 * i + 1] - unitsBelow);
                    entry[p] = used++;
                    stackOf[p] = stack;
                    madeFor[p] = member;
                }
            }
            for (int c = 0; c < chart.corners.length; c++) {
                indices[3 * chart.triangles[c / 3] + c % 3] = entry[chart.points[chart.corners[c]]];
            }
        }

        /** Returns the entries, with one at the origin behind them if it is asked for. */
        float[] values(boolean spare) {
            return Arrays.copyOf(values, 2 * (spare ? used + 1 : used));
        }
    }

    private List<Finding> findings(Prop prop, Packed packed, double weight, int all) {
        List<Finding> findings = new ArrayList<>();
        int copies = 0;
        List<Place> thin = new ArrayList<>();
        for (List<Stacks.Member> stack : prop.stacks) {
            copies += stack.size() - 1;
            for (Stacks.Member m : stack) {
                if (!keepDensities && thin(m.chart())) {
                    thin.add(new Place.Element("triangle", m.chart().triangles[0]));
                }
            }
        }
        int own = prop.stacks.size();
        if (own > 0) {
            findings.add(Finding.note("uv-packed", own + copies,
                    String.format(Locale.ROOT, "%d charts packed%s, %.6g texels a unit on %d × %d%s", own + copies,
                            all == own ? "" : " beside " + (all - own) + " of other meshes", packed.texelsPerUnit() * weight,
                            packed.room().width(), packed.room().height(),
                            copies == 0 ? "" : ", " + copies + " of them on the place of others"),
                    "bake at this size: the gutter is in its texels", List.of()));
        }
        if (!prop.folded.isEmpty()) {
            findings.add(Finding.warning("uv-folded-charts", prop.folded.size(),
                    prop.folded.size() + " charts cover a place more than once, or hold triangles that face both ways",
                    "leave it if those parts may share texels; otherwise unwrap the mesh, or cut these charts", prop.folded));
        }
        if (!prop.empty.isEmpty()) {
            findings.add(Finding.warning("uv-empty-charts", prop.empty.size(),
                    prop.empty.size() + " charts have no area in UV space or on the mesh and got a point",
                    "unwrap the mesh if these triangles shall have texels", prop.empty));
        }
        if (!thin.isEmpty()) {
            findings.add(Finding.warning("uv-thin-charts", thin.size(),
                    thin.size() + " charts cover next to nothing in UV space and got fewer texels than their area on the mesh asks for",
                    "unwrap the mesh if these triangles shall have texels", thin));
        }
        return findings;
    }
}
