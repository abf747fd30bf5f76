package org.estampage.maps;

import java.util.List;
import java.util.Optional;
import org.estampage.bake.HemisphereAnswers;
import org.estampage.bake.MapFormat;
import org.estampage.bake.RangeRule;
import org.estampage.bake.SurfaceHits;
import org.estampage.bake.SurfaceMap;
import org.estampage.image.Encoding;
import org.estampage.image.Range;
import org.jspecify.annotations.Nullable;

/**
 * How far the high poly lies above the low poly.
 *
 * @units mesh units, positive outward: along the ray, or along the low poly's normal
 * @threads immutable
 */
public final class HeightMap implements SurfaceMap {
    private final boolean alongNormal;
    private final @Nullable Range range;

    private HeightMap(boolean alongNormal, @Nullable Range range) {
        this.alongNormal = alongNormal;
        this.range = range;
    }

    /** Returns the map along the ray, its range symmetric and as large as the largest height. */
    public static HeightMap create() {
        return new HeightMap(false, null);
    }

    /** Returns the map that measures along the low poly's interpolated normal instead of the ray. */
    public HeightMap alongNormal() {
        return new HeightMap(true, range);
    }

    /**
     * Returns the map with a given range −{@code largest} … {@code largest} for integer files, to keep it from bake to bake.
     *
     * @throws IllegalArgumentException if it is not finite and positive as a float
     */
    public HeightMap range(double largest) {
        if (!((float) largest > 0) || !Float.isFinite((float) largest)) {
            throw new IllegalArgumentException("largest = " + largest + " must be finite and positive, also as a float");
        }
        return new HeightMap(alongNormal, Range.symmetric((float) largest));
    }

    /** Returns the console's call that makes this map. */
    @Override
    public String toString() {
        return MapCall.of("height").option(alongNormal, "alongNormal").option(range != null, "range", range == null ? 0 : range.atOne())
                .toString();
    }

    @Override
    public Optional<String> recipe() {
        return Optional.of(toString());
    }

    @Override
    public String name() {
        return "height";
    }

    @Override
    public MapFormat format() {
        RangeRule rule = range == null ? new RangeRule.LargestMagnitude() : new RangeRule.Fixed(List.of(range));
        return new MapFormat(Encoding.Kind.DATA, rule, List.of(0f), 16, true);
    }

    @Override
    public void evaluate(SurfaceHits hits, HemisphereAnswers answers, float[] dest) {
        if (!alongNormal) {
            System.arraycopy(hits.heights, 0, dest, 0, hits.size());
            return;
        }
        for (int s = 0; s < hits.size(); s++) {
            int i = 3 * s;
            double nx = hits.normals[i], ny = hits.normals[i + 1], nz = hits.normals[i + 2];
            double length = Math.sqrt(nx * nx + ny * ny + nz * nz);
            double d = (hits.highPositions[i] - (double) hits.lowPositions[i]) * nx
                    + (hits.highPositions[i + 1] - (double) hits.lowPositions[i + 1]) * ny
                    + (hits.highPositions[i + 2] - (double) hits.lowPositions[i + 2]) * nz;
            dest[s] = length > 0 ? (float) (d / length) : hits.heights[s];
        }
    }
}
