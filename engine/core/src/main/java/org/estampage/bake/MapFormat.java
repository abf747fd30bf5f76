package org.estampage.bake;

import java.util.List;
import java.util.Objects;
import org.estampage.image.Encoding;

/**
 * What a map's image looks like.
 *
 * @param kind       what the channels are
 * @param range      where the range of integer files comes from
 * @param background the raw value, a number a channel, where nothing was baked
 * @param bits       the usual depth of integer files: 8 or 16
 * @param padded     whether values are continued beyond the charts
 * @threads immutable
 */
public record MapFormat(Encoding.Kind kind, RangeRule range, List<Float> background, int bits, boolean padded) {
    private static final List<Float> FLAT = List.of(0f, 0f, 1f);

    /**
     * Checks the parts and copies the list.
     *
     * @throws IllegalArgumentException if there are not 1 … 4 channels, the range rule is for another number of them, or {@code bits} is
     *                                  neither 8 nor 16
     */
    public MapFormat {
        Objects.requireNonNull(kind, "kind");
        Objects.requireNonNull(range, "range");
        background = List.copyOf(background);
        if (background.isEmpty() || background.size() > 4) {
            throw new IllegalArgumentException("channels = " + background.size() + " must be 1 … 4");
        }
        int ruled = switch (range) {
            case RangeRule.Fixed fixed -> fixed.ranges().size();
            case RangeRule.HighPolyBounds bounds -> 3;
            case RangeRule.LargestMagnitude any -> background.size();
            case RangeRule.Largest any -> background.size();
        };
        if (ruled != background.size()) {
            throw new IllegalArgumentException("range is for " + ruled + " channels, background has " + background.size());
        }
        if (bits != 8 && bits != 16) {
            throw new IllegalArgumentException("bits = " + bits + " must be 8 or 16");
        }
    }

    /** Returns whether the channels are a vector in the low poly's tangent frame: its background is the flat one, (0, 0, 1). */
    public boolean tangentSpace() {
        return background.equals(FLAT);
    }

    /** Returns the number of channels. */
    public int channels() {
        return background.size();
    }
}
