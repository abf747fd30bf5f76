package org.estampage.maps;

import java.util.List;
import org.estampage.bake.HemisphereAnswers;
import org.estampage.bake.MapFormat;
import org.estampage.bake.RangeRule;
import org.estampage.bake.SurfaceHits;
import org.estampage.bake.SurfaceMap;
import org.estampage.image.Encoding;

/**
 * Where the high poly was hit. Integer files store each axis over the high poly's bounds.
 *
 * @space object
 * @units mesh units
 * @threads immutable
 */
public final class PositionMap implements SurfaceMap {
    private PositionMap() {
    }

    /** Returns the map. */
    public static PositionMap create() {
        return new PositionMap();
    }

    @Override
    public String name() {
        return "position";
    }

    @Override
    public MapFormat format() {
        return new MapFormat(Encoding.Kind.DATA, new RangeRule.HighPolyBounds(), List.of(0f, 0f, 0f), 16, true);
    }

    @Override
    public void evaluate(SurfaceHits hits, HemisphereAnswers answers, float[] dest) {
        System.arraycopy(hits.highPositions, 0, dest, 0, 3 * hits.size());
    }
}
