package org.estampage.bake;

import java.util.List;
import org.estampage.image.Range;

/** Where the range of a map's integer encoding comes from. A closed set. */
public sealed interface RangeRule {
    /**
     * Ranges that are known beforehand.
     *
     * @param ranges one a channel
     */
    record Fixed(List<Range> ranges) implements RangeRule {
        /** Copies the list. */
        public Fixed {
            ranges = List.copyOf(ranges);
        }
    }

    /** −r … r for all channels, r the largest finite magnitude among the texels that hit; a flat map gets a flat range. */
    record LargestMagnitude() implements RangeRule {
    }

    /** 0 … the largest finite value among the texels that hit. */
    record Largest() implements RangeRule {
    }

    /** The high poly's bounds, channel by channel: x, y, z. */
    record HighPolyBounds() implements RangeRule {
    }
}
