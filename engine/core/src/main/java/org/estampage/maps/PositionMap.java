package org.estampage.maps;

import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import org.estampage.bake.HemisphereAnswers;
import org.estampage.bake.MapFormat;
import org.estampage.bake.RangeRule;
import org.estampage.bake.SurfaceHits;
import org.estampage.bake.SurfaceMap;
import org.estampage.image.Encoding;
import org.estampage.image.Range;
import org.estampage.mesh.Bounds;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;

/**
 * Where the high poly was hit. Integer files store each axis over the high poly's bounds.
 *
 * @space object
 * @units mesh units; or, {@link #normalised}, 0 … 1 over the high polys' bounds, axis by axis
 * @edge normalised, an axis along which the bounds are flat is ½
 * @threads immutable
 */
public final class PositionMap implements SurfaceMap {
    private final boolean normalised;

    private PositionMap(boolean normalised) {
        this.normalised = normalised;
    }

    /** Returns the map. */
    public static PositionMap create() {
        return new PositionMap(false);
    }

    /**
     * Returns the map whose raw values are already those that integer files hold: 0 … 1 from the lowest to the highest corner of the high polys' bounds.
     * The files' text tells the corners.
     */
    public PositionMap normalised() {
        return new PositionMap(true);
    }

    /** Returns the console's call that makes this map. */
    @Override
    public String toString() {
        return MapCall.of("position").option(normalised, "normalised").toString();
    }

    @Override
    public Optional<String> recipe() {
        return Optional.of(toString());
    }

    @Override
    public String name() {
        return "position";
    }

    @Override
    public SurfaceMap prepared(List<Mesh> highs, Task task) {
        return normalised ? new Normalised(this, highs) : this;
    }

    @Override
    public MapFormat format() {
        RangeRule range = normalised ? new RangeRule.Fixed(List.of(Range.UNIT, Range.UNIT, Range.UNIT)) : new RangeRule.HighPolyBounds();
        return new MapFormat(Encoding.Kind.DATA, range, List.of(0f, 0f, 0f), 16, true);
    }

    @Override
    public void evaluate(SurfaceHits hits, HemisphereAnswers answers, float[] dest) {
        if (normalised) {
            throw new IllegalStateException("position must be made ready for the high polys first: prepared(…)");
        }
        System.arraycopy(hits.highPositions, 0, dest, 0, 3 * hits.size());
    }

    /** The map over the bounds of a job's high polys. */
    private static final class Normalised extends ReadyMap {
        private final List<Range> bounds;

        Normalised(PositionMap map, List<Mesh> highs) {
            super(map);
            Bounds all = Bounds.around(highs);
            bounds = List.of(new Range(all.minX(), all.maxX()), new Range(all.minY(), all.maxY()), new Range(all.minZ(), all.maxZ()));
        }

        @Override
        public Map<String, String> details() {
            Map<String, String> details = new LinkedHashMap<>();
            details.put("Position at 0", bounds.get(0).atZero() + " " + bounds.get(1).atZero() + " " + bounds.get(2).atZero());
            details.put("Position at 1", bounds.get(0).atOne() + " " + bounds.get(1).atOne() + " " + bounds.get(2).atOne());
            return details;
        }

        @Override
        public void evaluate(SurfaceHits hits, HemisphereAnswers answers, float[] dest) {
            for (int i = 0; i < 3 * hits.size(); i++) {
                dest[i] = bounds.get(i % 3).store(hits.highPositions[i]);
            }
        }
    }
}
