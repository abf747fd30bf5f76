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
    private static final System.Logger LOGGER = System.getLogger(StrategyChoice.class.getName());
    /**
     * Below so many rays a triangle the quicker builder wins: it saves about 0.1 µs a triangle, and its tree costs about a tenth of 0.12 µs more a ray.
     * Half of the break-even is taken, since the time of rays varies more with the scene.
     */
    private static final int FEW_RAYS = 4;

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
     * Returns the library's choice for this machine, and logs it at debug level.
     *
     * @param triangles    how many triangles there will be
     * @param expectedRays about how many rays will be asked; {@link Long#MAX_VALUE} for many
     */
    public static StrategyChoice of(int triangles, long expectedRays) {
        TreeLayout layout = Kernels.areVectors() ? WideLayout.of(Kernels.lanes()) : new BinaryLayout();
        boolean few = expectedRays < (long) FEW_RAYS * triangles;
        TreeBuilder builder = few ? new MortonBuilder() : new BinnedSahBuilder();
        StrategyChoice choice = new StrategyChoice(new Strategy(builder, layout), Kernels.reason() + "; "
                + (few ? "fewer than " + FEW_RAYS + " rays a triangle don't repay a better tree" : "many rays repay the best tree"));
        LOGGER.log(System.Logger.Level.DEBUG,
                () -> "rays against " + triangles + " triangles by " + choice.strategy() + ": " + choice.reason());
        return choice;
    }
}
