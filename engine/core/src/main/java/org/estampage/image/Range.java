package org.estampage.image;

/**
 * The raw values that a stored 0 and a stored 1 stand for. {@code atOne} may be the smaller one: a normal map with green down has (1, −1).
 *
 * @param atZero raw value of a stored 0
 * @param atOne  raw value of a stored 1
 * @threads immutable
 */
public record Range(float atZero, float atOne) {
    /** 0 to 1. */
    public static final Range UNIT = new Range(0, 1);

    /** −1 to 1. */
    public static final Range SIGNED_UNIT = new Range(-1, 1);

    /**
     * Checks that both ends are finite.
     *
     * @throws IllegalArgumentException if one is not
     */
    public Range {
        if (!Float.isFinite(atZero) || !Float.isFinite(atOne)) {
            throw new IllegalArgumentException("range " + atZero + " … " + atOne + " must be finite");
        }
    }

    /** Returns −{@code r} to {@code r}. */
    public static Range symmetric(float r) {
        return new Range(-r, r);
    }

    /** Returns the stored value of a raw one, clamped to 0…1; ½ when the range is flat. */
    public float store(float raw) {
        if (atZero == atOne) {
            return 0.5f;
        }
        return Math.min(1f, Math.max(0f, (raw - atZero) / (atOne - atZero)));
    }

    /** Returns the raw value that a stored one stands for. */
    public float raw(float stored) {
        return atZero + stored * (atOne - atZero);
    }
}
