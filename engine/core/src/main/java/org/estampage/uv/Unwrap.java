package org.estampage.uv;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Objects;
import java.util.OptionalDouble;
import org.estampage.finding.Finding;
import org.estampage.finding.Place;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.InvalidMeshException;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.MeshCheck;
import org.estampage.mesh.MeshSource;
import org.estampage.mesh.Welding;
import org.jspecify.annotations.Nullable;

/**
 * Gives a mesh UVs: decides where it is cut, lays the charts flat with little distortion, and packs them.
 *
 * <p>Without options charts are found automatically. Options that name seams (by angle, by part, by edges, along paths, where the mesh has seams already)
 * add up; their seams are kept exactly. Then only what is needed is added: cuts that make a region a disk, and seams where a chart would be distorted
 * above the bound. {@link #automatic} cuts the regions between the user's seams up as if there were no user's seams.
 *
 * <p>Distortion is the symmetric Dirichlet energy of a chart, ¼ of the area-weighted mean of σ₁² + σ₂² + σ₁⁻² + σ₂⁻²: 1 for an isometry, 1.12 for a stretch
 * of 1.27 : 1 both ways. Charts are flat without flips and without overlaps, whatever the bound.
 *
 * <p>Vertices at the same place count as one. Every edge that only one triangle has is a border; where more than two triangles meet, those that go on most
 * smoothly stay together. Triangles with two corners at one place get a point for their UVs; all others get a chart.
 *
 * <p>The new set takes the place of the first UV set; further sets, positions, polygons, normals and parts stay. Given tangents are taken away: they
 * belonged to the old UVs. What was done stands in the mesh's findings ({@code uv-charts}), and so do a bound that was missed and places where a chart
 * comes nearer to itself than the gutter ({@code uv-narrow-gaps}), with sides that are apart on the mesh.
 *
 * @units mesh units, texels of the target size; distortion has none
 * @space u right, v up; charts are as seen from outside
 * @threads confined; {@link #build} works on the caller's fork-join pool or the common one, and gives the same UVs on any number of threads
 * @cost a few seconds for 5,000 triangles on two cores
 */
public final class Unwrap extends PackingOptions<Unwrap> implements MeshSource {
    /** "Exceeds" begins this far above an angle, as for hard edges. */
    private static final double ANGLE_SLACK_DEGREES = 1e-3;
    /** Part of the bound's distance to 1 that sewing may use up on average: 1.12 leaves a mean of 1.048. */
    private static final double MEAN_PART = 0.4;

    private final MeshSource source;
    private boolean automatic;
    private OptionalDouble angleDegrees = OptionalDouble.empty();
    private boolean byPart;
    private boolean byMaterial;
    private boolean atHardEdges;
    private boolean kept;
    private final List<int[]> edges = new ArrayList<>();
    private final List<int[]> paths = new ArrayList<>();
    private double largestDistortion = 1.12;
    private double compactness = 0.65;
    private boolean straightBands;
    private boolean stacked;
    private boolean mirrored;
    private boolean inPlace;
    private final Map<String, Double> density = new LinkedHashMap<>();
    private double @Nullable [] colourDensity;

    private Unwrap(MeshSource source) {
        this.source = source;
    }

    /** Starts an unwrap: automatic charts, distorted by at most 1.12, for 2048 × 2048 texels with a gutter of 16. */
    public static Unwrap of(MeshSource mesh) {
        return new Unwrap(Objects.requireNonNull(mesh, "mesh"));
    }

    // ------------------------------------------------------------------------------------------------------------- seams

    /** Cuts up what lies between the user's seams as if there were no user's seams; without those this is the rule. */
    public Unwrap automatic() {
        automatic = true;
        return this;
    }

    /**
     * Puts seams where the surface turns by more than an angle.
     *
     * @throws IllegalArgumentException if it is not 0 … 180
     */
    public Unwrap seamsByAngle(double degrees) {
        angleDegrees = OptionalDouble.of(inRange("degrees", degrees, 0, 180));
        return this;
    }

    /** Puts seams between parts. */
    public Unwrap seamsByPart() {
        byPart = true;
        return this;
    }

    /** Puts seams between materials. */
    public Unwrap seamsByMaterial() {
        byMaterial = true;
        return this;
    }

    /** Puts seams along the mesh's hard edges, where normals differ on both sides: a hard edge without a seam can't bake cleanly. */
    public Unwrap seamsAtHardEdges() {
        atHardEdges = true;
        return this;
    }

    /** Keeps the seams of the mesh's first UV set. */
    public Unwrap keepSeams() {
        kept = true;
        return this;
    }

    /**
     * Puts seams on edges.
     *
     * @param vertices two vertex numbers an edge; they are checked when the mesh is built
     * @throws IllegalArgumentException if their number is odd
     */
    public Unwrap seams(int... vertices) {
        if (vertices.length % 2 != 0) {
            throw new IllegalArgumentException("vertices: " + vertices.length + " numbers are not two an edge");
        }
        edges.add(vertices.clone());
        return this;
    }

    /**
     * Puts a seam through vertices, from each to the next along the edges where it costs least: short, and rather along creases and grooves than
     * over flat ground. It is closed when the last vertex is the first again.
     *
     * @param vertices at least two vertex numbers; they are checked when the mesh is built
     * @throws IllegalArgumentException if there are fewer than two
     */
    public Unwrap seamPath(int... vertices) {
        if (vertices.length < 2) {
            throw new IllegalArgumentException("vertices: " + vertices.length + " are given, a path needs at least 2");
        }
        paths.add(vertices.clone());
        return this;
    }

    // ------------------------------------------------------------------------------------------------------------ charts

    /**
     * Sets the largest distortion of a chart; more and smaller charts keep below a lower one. 1.12 by default.
     *
     * @throws IllegalArgumentException if it is not 1 … 10
     */
    public Unwrap largestDistortion(double bound) {
        largestDistortion = inRange("bound", bound, 1, 10);
        return this;
    }

    /**
     * Leans towards few charts or compact ones: the part of its best bounding rectangle that a chart put together from smaller ones fills at least.
     * 0 gives few, large, branching charts with short seams; 0.8 gives many compact ones that pack well and are distorted less. 0.65 by default.
     *
     * @throws IllegalArgumentException if it is not 0 … 1
     */
    public Unwrap compactness(double least) {
        compactness = inRange("least", least, 0, 1);
        return this;
    }

    /**
     * Lays long bands out straight and along the axes, as the side of a pipe, a rim or a bent moulding: then their borders don't run in stairs over the
     * texels, they can be tiled, and they lie side by side without gaps. A band is a chart at least four times as long as wide, with two long borders and
     * two ends; its middle keeps its length. One that would be distorted above the bound stays as it is. How many there are stands in the findings
     * ({@code uv-bands}, {@code uv-bands-left}). A straight band is longer across the image than a bent one: where it alone settles the scale, cut it.
     */
    public Unwrap straightBands() {
        straightBands = true;
        return this;
    }

    /** Puts copies on the place of their originals: regions between the user's seams, or loose shells, that are congruent. */
    public Unwrap stacked() {
        stacked = true;
        return this;
    }

    /** Puts mirrored copies on the place of their originals, too; those triangles are mirrored in UV space. */
    public Unwrap mirrored() {
        stacked = true;
        mirrored = true;
        return this;
    }

    /** Leaves copies exactly on their originals; by default they lie below all tiles, one unit below where there are
     * no more than ten: there wrapping finds the same texels and nothing is baked. */
    public Unwrap copiesInPlace() {
        inPlace = true;
        return this;
    }

    /**
     * Sets the texel density of a part, as a multiple of the others'; there is a seam around it.
     *
     * @throws IllegalArgumentException if the weight is not 0.01 … 100
     */
    public Unwrap density(String part, double weight) {
        density.put(Objects.requireNonNull(part, "part"), inRange("weight", weight, 0.01, 100));
        return this;
    }

    /**
     * Sets the texel density by the mean grey of the first colour set over each chart.
     *
     * @param black the multiple for black
     * @param white the multiple for white
     * @throws IllegalArgumentException if one is not 0.01 … 100
     */
    public Unwrap densityByColour(double black, double white) {
        colourDensity = new double[] {inRange("black", black, 0.01, 100), inRange("white", white, 0.01, 100)};
        return this;
    }

    // ------------------------------------------------------------------------------------------------------------- doing

    /**
     * Returns the mesh with its new first UV set, named {@code uv}.
     *
     * @edge a mesh without triangles gets an empty set
     * @throws InvalidMeshException     if positions are not finite
     * @throws IllegalArgumentException if a seam names a vertex that does not exist, two vertices that no edge joins or no path connects, a part that
     *                                  does not exist, or an option asks for something that the mesh lacks (normals, UVs, colours)
     */
    @Override
    public Mesh build() {
        return task().recalled(Mesh.class, this, this::unwrapped);
    }

    private Mesh unwrapped() {
        Mesh mesh = source.build();
        if (mesh.triangleCount() == 0) {
            return with(mesh, new float[0], new int[0], List.of());
        }
        InvalidMeshException.throwIfAny(MeshCheck.problems(mesh, false));
        Surface surface = Surface.of(mesh);
        Seams seams = new Seams(surface);
        boolean asked = fixSeams(mesh, seams);
        int[] all = standing(surface);
        int[] original = new int[0];
        int copies = 0;
        if (stacked && all.length > 0) {
            Twins twins = new Twins(seams, mirrored);
            all = joined(twins.find(seams.components(all)));
            original = twins.originals();
            copies = twins.copies();
        }
        double mean = 1 + MEAN_PART * (largestDistortion - 1);
        Charting charting = new Charting(seams,
                new Charting.Demand(automatic || !asked, largestDistortion, mean, compactness), task());
        List<LaidPiece> charts = all.length == 0 ? List.of() : charting.charts(all);
        List<Finding> notes = new ArrayList<>();
        if (straightBands) {
            charts = straightened(surface, charts, notes);
        }
        double[] weights = weights(mesh, surface, charts);
        List<Chart> shapes = new ArrayList<>();
        for (int c = 0; c < weights.length; c++) {
            shapes.add(new Chart(charts.get(c).uv, charts.get(c).piece.corners, weights[c], charts.get(c).straight));
        }
        Packed packed = pack(shapes, surface.unit);
        NarrowGaps gaps = new NarrowGaps(packed.room().gutter());
        for (int c = 0; c < weights.length; c++) {
            gaps.look(shapes.get(c), packed.placements().get(c).scale(), surface.xyz, charts.get(c).piece.sources(surface));
        }
        return assemble(mesh, surface, charts, packed, original, copies, notes).toBuilder().findings(gaps.findings()).build();
    }

    private List<LaidPiece> straightened(Surface surface, List<LaidPiece> charts, List<Finding> inoutNotes) {
        List<LaidPiece> result = new ArrayList<>();
        int straight = 0;
        List<Place> left = new ArrayList<>();
        for (LaidPiece chart : charts) {
            task().check();
            LaidPiece band = chart.straightened(surface, largestDistortion, task());
            if (band == chart) {
                left.add(new Place.Element("triangle", chart.piece.triangles[0]));
            }
            straight += band != null && band.straight ? 1 : 0;
            result.add(band == null ? chart : band);
        }
        if (straight > 0) {
            inoutNotes.add(Finding.note("uv-bands", straight, straight + " long charts are laid out straight", "", List.of()));
        }
        if (!left.isEmpty()) {
            inoutNotes.add(Finding.note("uv-bands-left", left.size(),
                    String.format(Locale.ROOT, "%d long charts stay as they are: straight they would be distorted by more than %s",
                            left.size(), largestDistortion),
                    "to straighten them allow more distortion, or cut them where they bend", left));
        }
        return result;
    }

    @Override
    Unwrap self() {
        return this;
    }

    /** The triangles that stand on three different places. */
    private static int[] standing(Surface surface) {
        int[] all = new int[surface.triangleCount];
        int count = 0;
        for (int t = 0; t < surface.triangleCount; t++) {
            if (!surface.collapsed[t]) {
                all[count++] = t;
            }
        }
        return Arrays.copyOf(all, count);
    }

    private static int[] joined(List<int[]> sets) {
        int[] all = sets.stream().flatMapToInt(Arrays::stream).toArray();
        Arrays.sort(all);
        return all;
    }

    /** Makes the user's seams; returns whether the user asked for any. */
    private boolean fixSeams(Mesh mesh, Seams seams) {
        Surface surface = seams.surface;
        double leastCosine = angleDegrees.isPresent()
                ? StrictMath.cos(Math.toRadians(angleDegrees.getAsDouble() + ANGLE_SLACK_DEGREES))
                : Double.NEGATIVE_INFINITY;
        boolean parts = byPart || !density.isEmpty();
        Attribute normals = atHardEdges
                ? mesh.normals().orElseThrow(() -> new IllegalArgumentException(
                        mesh.title() + " has no normals, so no hard edges to put seams on"))
                : null;
        if (kept && mesh.uvSets().isEmpty()) {
            throw new IllegalArgumentException(mesh.title() + " has no UV set whose seams could be kept");
        }
        Attribute uvs = kept ? mesh.uvSets().get(0) : null;
        for (int h = 0; h < surface.opposite.length; h++) {
            int o = surface.opposite[h];
            if (o < h) {
                continue;
            }
            int s = h / 3;
            int t = o / 3;
            if (surface.cosine(s, t) < leastCosine || (parts && mesh.partLabels().of(s) != mesh.partLabels().of(t))
                    || (byMaterial && mesh.materialLabels().isPresent()
                            && mesh.materialLabels().get().of(s) != mesh.materialLabels().get().of(t))
                    || (normals != null && normals.breaksAt(h, o)) || (uvs != null && uvs.breaksAt(h, o))) {
                seams.fix(h);
            }
        }
        if (!edges.isEmpty() || !paths.isEmpty()) {
            fixPicked(mesh, seams);
        }
        return angleDegrees.isPresent() || byPart || byMaterial || atHardEdges || kept || !edges.isEmpty() || !paths.isEmpty();
    }

    private void fixPicked(Mesh mesh, Seams seams) {
        int[] welded = Welding.canonicalVertices(mesh);
        SeamWays ways = new SeamWays(seams.surface, mesh.vertexCount());
        for (int[] list : edges) {
            for (int i = 0; i < list.length; i += 2) {
                if (!ways.fixEdge(seams, vertex(list[i], welded), vertex(list[i + 1], welded))) {
                    throw new IllegalArgumentException("no edge joins the vertices " + list[i] + " and " + list[i + 1]);
                }
            }
        }
        for (int[] path : paths) {
            for (int i = 0; i + 1 < path.length; i++) {
                if (!ways.fixWay(seams, vertex(path[i], welded), vertex(path[i + 1], welded))) {
                    throw new IllegalArgumentException("no path connects the vertices " + path[i] + " and " + path[i + 1]);
                }
            }
        }
    }

    private static int vertex(int number, int[] welded) {
        return welded[inRange("vertex", number, 0, welded.length - 1)];
    }

    private double[] weights(Mesh mesh, Surface surface, List<LaidPiece> charts) {
        double[] ofPart = new double[mesh.parts().size()];
        Arrays.fill(ofPart, 1);
        density.forEach((name, weight) -> {
            boolean found = false;
            for (int p = 0; p < ofPart.length; p++) {
                if (mesh.parts().get(p).name().equals(name)) {
                    ofPart[p] = weight;
                    found = true;
                }
            }
            if (!found) {
                throw new IllegalArgumentException("part = " + name + " must be one of " + mesh.parts());
            }
        });
        double[] weights = new double[charts.size()];
        for (int c = 0; c < weights.length; c++) {
            Piece piece = charts.get(c).piece;
            int part = mesh.partLabels().of(piece.triangles[0]);
            weights[c] = part < 0 ? 1 : ofPart[part];
            if (colourDensity != null) {
                weights[c] *= colourDensity[0] + (colourDensity[1] - colourDensity[0]) * grey(mesh, surface, piece);
            }
        }
        return weights;
    }

    private static double grey(Mesh mesh, Surface surface, Piece piece) {
        if (mesh.colourSets().isEmpty()) {
            throw new IllegalArgumentException(mesh.title() + " has no colours to take the density from");
        }
        Attribute colours = mesh.colourSets().get(0);
        double sum = 0;
        for (int t : piece.triangles) {
            for (int k = 0; k < 9; k++) {
                sum += surface.area[t] * colours.values()[colours.components() * colours.indices()[3 * t + k / 3] + k % 3];
            }
        }
        return piece.area > 0 ? Math.min(1, Math.max(0, sum / (9 * piece.area))) : 0;
    }

    private Mesh assemble(Mesh mesh, Surface surface, List<LaidPiece> charts, Packed packed, int[] original, int copies,
            List<Finding> notes) {
        int corners = surface.corner.length;
        int count = 1;
        for (LaidPiece chart : charts) {
            count += chart.piece.vertexCount;
        }
        float[] values = new float[2 * count];
        int[] indices = new int[corners];
        Arrays.fill(indices, -1);
        int first = 0;
        for (int c = 0; c < charts.size(); c++) {
            Piece piece = charts.get(c).piece;
            double[] uv = packed.placements().get(c).uvs(charts.get(c).uv, packed.room());
            for (int i = 0; i < uv.length; i++) {
                values[2 * first + i] = (float) uv[i];
            }
            for (int i = 0; i < piece.corners.length; i++) {
                indices[3 * piece.triangles[i / 3] + i % 3] = first + piece.corners[i];
            }
            first += piece.vertexCount;
        }
        // Copies: the entries of their originals, or new ones a unit below.
        int[] below = new int[count];
        float[] all = values;
        int used = first;
        for (int c = 0; c < original.length; c++) {
            if (original[c] == c) {
                continue;
            }
            int entry = indices[original[c]];
            if (!inPlace) {
                if (below[entry] == 0) {
                    if (2 * used + 2 > all.length) {
                        all = Arrays.copyOf(all, 2 * all.length);
                    }
                    all[2 * used] = values[2 * entry];
                    all[2 * used + 1] = values[2 * entry + 1] - packed.room().rows();
                    below[entry] = used++;
                }
                entry = below[entry];
            }
            indices[c] = entry;
        }
        boolean spare = Points.give(surface.corner, surface.xyz.length / 3, surface.collapsed, indices, used);
        List<Finding> findings = findings(charts, packed, copies);
        findings.addAll(notes);
        return with(mesh, Arrays.copyOf(all, 2 * (spare ? used + 1 : used)), indices, findings);
    }

    private List<Finding> findings(List<LaidPiece> charts, Packed packed, int copies) {
        List<Finding> findings = new ArrayList<>();
        if (charts.isEmpty()) {
            return findings;
        }
        double area = 0;
        double sum = 0;
        double worst = 1;
        List<Place> over = new ArrayList<>();
        long overCount = 0;
        for (LaidPiece chart : charts) {
            area += chart.piece.area;
            sum += chart.piece.area * chart.distortion;
            worst = Math.max(worst, chart.distortion);
            if (chart.distortion > largestDistortion) {
                overCount++;
                over.add(new Place.Element("triangle", chart.piece.triangles[0]));
            }
        }
        findings.add(Finding.note("uv-charts", charts.size(),
                String.format(Locale.ROOT, "%d charts, distortion %.4f on average, %.4f at most, %.6g texels a unit on %d × %d%s",
                        charts.size(), area > 0 ? sum / area : 1, worst, packed.texelsPerUnit(), packed.room().width(),
                        packed.room().height(), copies == 0 ? "" : ", " + copies + " regions share an original's place"),
                "for fewer charts call compactness(0) or allow more distortion", List.of()));
        if (overCount > 0) {
            findings.add(Finding.warning("uv-distortion", overCount,
                    String.format(Locale.ROOT, "%d charts are distorted by more than %s, the worst by %.4f", overCount, largestDistortion,
                            worst),
                    "look at the triangles named: charts of one triangle with no area, or thin ones, can't be laid flatter", over));
        }
        return findings;
    }

    private static Mesh with(Mesh mesh, float[] values, int[] indices, List<Finding> findings) {
        Mesh.Builder builder = mesh.toBuilder().noUvSets().tangents(null).uvSet(new Attribute("uv", 2, values, indices));
        mesh.uvSets().stream().skip(1).forEach(builder::uvSet);
        return builder.findings(findings).build();
    }
}
