package org.estampage.bvh;

import java.util.Objects;

/**
 * What is asked about the half space above a point. Equal queries of several maps are traced once.
 *
 * @param distribution how directions are spread
 * @param raysPerTexel how many directions a texel gets, spread over its samples
 * @param reach        how far a blocker counts, in mesh units; infinity for any distance
 * @threads immutable
 */
public record HemisphereQuery(Distribution distribution, int raysPerTexel, float reach) {
    /** How directions are spread over the hemisphere. */
    public enum Distribution {
        /** In proportion to the cosine with the axis. */
        COSINE,
        /** The same density everywhere. */
        UNIFORM
    }

    /**
     * Checks the numbers.
     *
     * @throws IllegalArgumentException if {@code raysPerTexel} is not 1 … 65536 or {@code reach} is not positive
     */
    public HemisphereQuery {
        Objects.requireNonNull(distribution, "distribution");
        if (raysPerTexel < 1 || raysPerTexel > 65536) {
            throw new IllegalArgumentException("raysPerTexel = " + raysPerTexel + " must be 1 … 65536");
        }
        if (!(reach > 0)) {
            throw new IllegalArgumentException("reach = " + reach + " must be positive");
        }
    }
}
