package org.estampage.image;

import java.util.ArrayList;
import java.util.List;
import java.util.Objects;

/**
 * How the raw channels of an image become stored numbers between 0 and 1, and back.
 *
 * @param kind   what the channels are, which also decides how they may be mixed
 * @param ranges one range a channel
 * @threads immutable
 */
public record Encoding(Kind kind, List<Range> ranges) {
    private static final Range NUMBERS = new Range(0, 255);

    /** What the channels of an image are. */
    public enum Kind {
        /** Plain data: may be averaged and extrapolated. */
        DATA,
        /** Unit vectors: averaged, then brought back to unit length. */
        NORMAL,
        /** Identifiers: never averaged. Raw values are k/255 or k itself, k = 0 … 255: files of 8 and of 16 bits give those back exactly. */
        ID,
        /** Linear colour: stored with the sRGB curve in integer files; alpha, the fourth channel, without. */
        COLOUR
    }

    /**
     * Checks the parts and copies the list.
     *
     * @throws IllegalArgumentException if identifiers are to have another range than 0 … 1 or 0 … 255, over which files could not give them back exactly
     */
    public Encoding {
        Objects.requireNonNull(kind, "kind");
        ranges = List.copyOf(ranges);
        if (kind == Kind.ID && !ranges.stream().allMatch(range -> range.equals(Range.UNIT) || range.equals(NUMBERS))) {
            throw new IllegalArgumentException(
                    "ranges " + ranges + " of identifiers must be 0 … 1 or 0 … 255, which files of 8 and 16 bits give back exactly");
        }
    }

    /** Returns the encoding of tangent- or object-space normals with green up. */
    public static Encoding normal() {
        return new Encoding(Kind.NORMAL, List.of(Range.SIGNED_UNIT, Range.SIGNED_UNIT, Range.SIGNED_UNIT));
    }

    /** Returns the encoding of normals whose stored green runs against +Y. */
    public static Encoding normalGreenDown() {
        return normal().greenDown();
    }

    /**
     * Returns the encoding of vectors between −1 and 1 whose stored green runs against +Y, the rest as here.
     *
     * @throws IllegalStateException if there are fewer than two channels
     */
    public Encoding greenDown() {
        if (channels() < 2) {
            throw new IllegalStateException("an encoding of " + channels() + " channel has no green");
        }
        List<Range> turned = new ArrayList<>(ranges);
        turned.set(1, new Range(1, -1));
        return new Encoding(kind, turned);
    }

    /** Returns the encoding of {@code channels} channels of plain data, all with the same range. */
    public static Encoding data(Range range, int channels) {
        return new Encoding(Kind.DATA, java.util.Collections.nCopies(channels, range));
    }

    /** Returns the encoding of {@code channels} channels of linear colour between 0 and 1. */
    public static Encoding colour(int channels) {
        return new Encoding(Kind.COLOUR, java.util.Collections.nCopies(channels, Range.UNIT));
    }

    /** Returns the encoding of identifiers that are flat colours: k/255 in each channel. */
    public static Encoding id(int channels) {
        return new Encoding(Kind.ID, java.util.Collections.nCopies(channels, Range.UNIT));
    }

    /** Returns the encoding of identifiers that are whole numbers 0 … 255. */
    public static Encoding idNumbers(int channels) {
        return new Encoding(Kind.ID, java.util.Collections.nCopies(channels, NUMBERS));
    }

    /** Returns the number of channels. */
    public int channels() {
        return ranges.size();
    }

    /** Returns the stored value of a raw one, between 0 and 1, with the sRGB curve where it belongs. */
    public float store(int channel, float raw) {
        float v = ranges.get(channel).store(raw);
        return kind == Kind.COLOUR && channel < 3 ? Srgb.encode(v) : v;
    }

    /** Returns the raw value that a stored one stands for. */
    public float raw(int channel, float stored) {
        float v = kind == Kind.COLOUR && channel < 3 ? Srgb.decode(stored) : stored;
        Range range = ranges.get(channel);
        return range.equals(NUMBERS) && kind == Kind.ID ? Math.round(range.raw(v)) : range.raw(v); // k/255 times 255 need not be k
    }

    /**
     * Returns the integer that an n-bit file holds: ⌊v·(2ⁿ − 1) + ½⌋ of the stored value.
     *
     * @param bits 1 … 16
     */
    public int quantise(int channel, float raw, int bits) {
        int largest = (1 << bits) - 1;
        return (int) Math.floor((double) store(channel, raw) * largest + 0.5);
    }
}
