package org.estampage.bvh;

import java.util.Objects;
import org.estampage.internal.kernel.Kernels;

/**
 * A strategy and why it was taken.
 *
 * @param strategy the strategy
 * @param reason   one sentence for people
 */
public record StrategyChoice(Strategy strategy, String reason) {
    /** Checks that nothing is null. */
    public StrategyChoice {
        Objects.requireNonNull(strategy, "strategy");
        Objects.requireNonNull(reason, "reason");
    }

    /** Returns the caller's own choice. */
    public static StrategyChoice given(Strategy strategy) {
        return new StrategyChoice(strategy, "the caller chose it");
    }

    /**
     * Returns the library's choice for this machine.
     *
     * @param triangles    how many triangles there will be
     * @param expectedRays about how many rays will be asked; {@link Long#MAX_VALUE} for many
     */
    public static StrategyChoice of(int triangles, long expectedRays) {
        TreeLayout layout = Kernels.areVectors() ? WideLayout.of(Kernels.lanes()) : new BinaryLayout();
        return new StrategyChoice(new Strategy(new BinnedSahBuilder(), layout), Kernels.reason());
    }
}
