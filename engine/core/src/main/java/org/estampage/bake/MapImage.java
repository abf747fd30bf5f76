package org.estampage.bake;

import java.util.Collections;
import java.util.Objects;
import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.image.Range;
import org.estampage.task.MemoryBudget;
import org.estampage.task.Task;
import org.jspecify.annotations.Nullable;

/**
 * The texels of one map while they are baked, and how many rays each got where they are to be shared.
 *
 * @threads texels are written by the worker that has them
 */
final class MapImage {
    private final MemoryBudget memory;
    private FloatImage values;
    private @Nullable FloatImage rays;

    /**
     * Makes room for a map.
     *
     * @throws IllegalArgumentException if the map is to share rays, and has more than one channel or no query
     */
    MapImage(SurfaceMap map, int width, int height, MemoryBudget memory) {
        this.memory = memory;
        MapFormat format = map.format();
        values = FloatImage.create(width, height, new Encoding(format.kind(), Collections.nCopies(format.channels(), Range.UNIT)), memory);
        if (map.shared()) {
            if (format.channels() != 1 || map.queries().isEmpty()) {
                throw new IllegalArgumentException(map.name() + " can't share rays: only maps of one channel with a query can");
            }
            rays = FloatImage.create(width, height, Encoding.data(Range.UNIT, 1), memory);
        }
    }

    FloatImage values() {
        return values;
    }

    /** Returns where the number of each texel's rays goes; null where nothing is shared. */
    @Nullable
    FloatImage rays() {
        return rays;
    }

    /** Replaces the values by shared ones, if the map shares rays. */
    void share(Guides guides, Task task) {
        if (rays != null) {
            values = Sharing.share(values, Objects.requireNonNull(rays), guides, memory, task);
            rays = null;
        }
    }
}
