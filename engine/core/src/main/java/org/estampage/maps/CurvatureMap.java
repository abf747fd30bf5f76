package org.estampage.maps;

import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import org.estampage.bake.BakeJob;
import org.estampage.bake.HemisphereAnswers;
import org.estampage.bake.MapFormat;
import org.estampage.bake.Preparation;
import org.estampage.bake.RangeRule;
import org.estampage.bake.SurfaceHits;
import org.estampage.bake.SurfaceMap;
import org.estampage.image.Encoding;
import org.estampage.image.Range;
import org.estampage.mesh.Curvature;
import org.estampage.mesh.Mesh;

/**
 * The signed mean curvature of the high poly's surface, averaged over a length; see {@link Curvature}.
 *
 * @units 1 over mesh units, positive where it is convex; integer files clamp at the magnitude that 99 % of the high polys' area does not exceed
 * @threads immutable
 */
public final class CurvatureMap implements SurfaceMap {
    /** What of the curvature is kept. */
    private enum Part {
        ALL, CONVEX, CONCAVE
    }

    /** What the high polys' curvature hangs on beside the job. */
    private record Key(double length) {
    }

    /** The high polys' curvature, and the length that it is averaged over. */
    private record Measured(double length, List<Curvature> curvatures) {
    }

    private static final double COMMON = 0.99;
    private static final int VERTEX_BYTES = Float.BYTES + Double.BYTES;
    /** What is alive a triangle while values spread, measured on the bollard of a million triangles. */
    private static final int SPREADING_BYTES = 61;

    private final double length;
    private final double largest;
    private final Part part;

    private CurvatureMap(double length, double largest, Part part) {
        this.length = length;
        this.largest = largest;
        this.part = part;
    }

    /** Returns the map at the usual length of the finest high poly: {@link Curvature#usualLength}. */
    public static CurvatureMap create() {
        return new CurvatureMap(Double.NaN, Double.NaN, Part.ALL);
    }

    /**
     * Returns the map averaged over a length in mesh units: what is finer disappears.
     *
     * @throws IllegalArgumentException if it is negative or not finite; 0 gives raw values
     */
    public CurvatureMap over(double meshUnits) {
        if (!(meshUnits >= 0) || !Double.isFinite(meshUnits)) {
            throw new IllegalArgumentException("over = " + meshUnits + " must be a length of 0 or more");
        }
        return new CurvatureMap(meshUnits, largest, part);
    }

    /**
     * Returns the map with a given largest magnitude in integer files, to keep it from bake to bake.
     *
     * @throws IllegalArgumentException if it is not finite and positive as a float
     */
    public CurvatureMap range(double magnitude) {
        if (!((float) magnitude > 0) || !Float.isFinite((float) magnitude)) {
            throw new IllegalArgumentException("range = " + magnitude + " must be finite and positive, also as a float");
        }
        return new CurvatureMap(length, magnitude, part);
    }

    /** Returns the map of convex places alone, {@code curvature-convex}: 0 where the surface is flat or concave. */
    public CurvatureMap convex() {
        return new CurvatureMap(length, largest, Part.CONVEX);
    }

    /** Returns the map of concave places alone, {@code curvature-concave}: 0 where the surface is flat or convex, positive in hollows. */
    public CurvatureMap concave() {
        return new CurvatureMap(length, largest, Part.CONCAVE);
    }

    /** Returns the console's call that makes this map. */
    @Override
    public String toString() {
        return MapCall.of("curvature").option(!Double.isNaN(length), "over", length).option(!Double.isNaN(largest), "range", largest)
                .option(part == Part.CONVEX, "convex").option(part == Part.CONCAVE, "concave").toString();
    }

    @Override
    public Optional<String> recipe() {
        return Optional.of(toString());
    }

    @Override
    public String name() {
        return switch (part) {
            case ALL -> "curvature";
            case CONVEX -> "curvature-convex";
            case CONCAVE -> "curvature-concave";
        };
    }

    /** Values and areas at the vertices; maps of the convex and concave parts share them, and are told them each. */
    @Override
    public long readyBytes(BakeJob job) {
        return job.highs().stream().mapToLong(high -> (long) VERTEX_BYTES * high.vertexCount()).sum();
    }

    @Override
    public long preparingBytes(BakeJob job) {
        return readyBytes(job) + job.highs().stream().mapToLong(high -> (long) SPREADING_BYTES * high.triangleCount()).max().orElse(0);
    }

    @Override
    public SurfaceMap prepared(Preparation preparation) {
        Measured measured = preparation.once(new Key(length), Measured.class, () -> measure(preparation));
        float magnitude = Double.isNaN(largest) ? Curvature.magnitude(measured.curvatures, COMMON) : (float) largest;
        return new Ready(this, preparation.highs(), measured, magnitude);
    }

    private Measured measure(Preparation preparation) {
        double over = length;
        if (Double.isNaN(over)) {
            over = Double.POSITIVE_INFINITY;
            for (Mesh high : preparation.highs()) {
                over = Math.min(over, Curvature.usualLength(high));
            }
        }
        List<Curvature> curvatures = new ArrayList<>();
        for (Mesh high : preparation.highs()) {
            curvatures.add(Curvature.of(high, over, preparation.task()));
        }
        return new Measured(over, curvatures);
    }

    @Override
    public MapFormat format() {
        return format(Double.isNaN(largest) ? 1f : (float) largest);
    }

    private MapFormat format(float magnitude) {
        Range range = part == Part.ALL ? Range.symmetric(magnitude) : new Range(0, magnitude);
        return new MapFormat(Encoding.Kind.DATA, new RangeRule.Fixed(List.of(range)), List.of(0f), 16, true);
    }

    @Override
    public void evaluate(SurfaceHits hits, HemisphereAnswers answers, float[] dest) {
        throw new IllegalStateException("curvature must be made ready for the high polys first: prepared(…)");
    }

    private float keep(float value) {
        return switch (part) {
            case ALL -> value;
            case CONVEX -> Math.max(0f, value);
            case CONCAVE -> Math.max(0f, -value);
        };
    }

    /** The map with the curvature of a job's high polys. */
    private static final class Ready extends ReadyMap {
        private final CurvatureMap map;
        private final float[][] values;
        private final int[][] corners;
        private final double length;
        private final float magnitude;

        Ready(CurvatureMap map, List<Mesh> highs, Measured measured, float magnitude) {
            super(map);
            this.map = map;
            this.length = measured.length;
            this.magnitude = magnitude;
            values = new float[highs.size()][];
            corners = new int[highs.size()][];
            for (int m = 0; m < values.length; m++) {
                values[m] = measured.curvatures.get(m).values();
                corners[m] = highs.get(m).positionIndices();
            }
        }

        @Override
        public MapFormat format() {
            return map.format(magnitude);
        }

        @Override
        public Map<String, String> details() {
            Map<String, String> details = new LinkedHashMap<>();
            details.put("Curvature", Curvature.ESTIMATOR);
            details.put("Curvature length", Double.toString(length));
            return details;
        }

        @Override
        public void evaluate(SurfaceHits hits, HemisphereAnswers answers, float[] dest) {
            for (int s = 0; s < hits.size(); s++) {
                float[] value = values[hits.highMeshes[s]];
                int[] corner = corners[hits.highMeshes[s]];
                int c = 3 * hits.highTriangles[s];
                float b1 = hits.highB1[s], b2 = hits.highB2[s], b0 = 1f - b1 - b2;
                dest[s] = map.keep(b0 * value[corner[c]] + b1 * value[corner[c + 1]] + b2 * value[corner[c + 2]]);
            }
        }
    }
}
