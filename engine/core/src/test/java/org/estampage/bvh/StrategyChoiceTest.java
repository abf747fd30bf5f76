package org.estampage.bvh;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import org.estampage.internal.kernel.Kernels;
import org.estampage.task.Task;
import org.junit.jupiter.api.Tag;
import org.junit.jupiter.api.Test;

class StrategyChoiceTest {
    @Test
    void choice_takesTheLayoutOfTheMachineAndSaysWhy() {
        StrategyChoice choice = StrategyChoice.of(1000, Long.MAX_VALUE);
        assertThat(choice.strategy().builder()).isInstanceOf(BinnedSahBuilder.class);
        assertThat(choice.strategy().layout()).isInstanceOf(Kernels.areVectors() ? WideLayout.class : BinaryLayout.class);
        assertThat(choice.reason()).contains(Kernels.reason()).contains("many rays");
    }

    @Test
    void choice_forFewRays_takesTheQuickBuilder() {
        assertThat(StrategyChoice.of(1000, 3999).strategy().builder()).isInstanceOf(MortonBuilder.class);
        assertThat(StrategyChoice.of(1000, 4000).strategy().builder()).isInstanceOf(BinnedSahBuilder.class);
        assertThat(StrategyChoice.of(Integer.MAX_VALUE, Long.MAX_VALUE).strategy().builder()).isInstanceOf(BinnedSahBuilder.class);
    }

    @Test
    void tracer_tellsByWhatItWasBuilt() {
        Strategy strategy = new Strategy(new MortonBuilder(), new BinaryLayout());
        Bvh given = Bvh.build(TestMeshes.box(0, 0, 0, 1, 1, 1), strategy, Task.silent());
        assertThat(given.choice().strategy()).isSameAs(strategy);
        assertThat(given.choice().reason()).isEqualTo("the caller chose it");
        assertThat(strategy).hasToString("Morton, binary");
        assertThat(given.buildPeakBytes()).isPositive();
        assertThat(Bvh.build(TestMeshes.box(0, 0, 0, 1, 1, 1), Task.silent()).choice().reason())
                .isEqualTo(StrategyChoice.of(12, Long.MAX_VALUE).reason());
    }

    @Test
    @Tag("vector")
    void raysTogether_areOneToThirtyTwo() {
        assertThat(WideLayout.of(16).raysTogether(1)).hasToString("16-wide, each ray alone");
        assertThat(WideLayout.of(8).raysTogether(32)).hasToString("8-wide, 32 rays together");
        assertThatThrownBy(() -> WideLayout.of(8).raysTogether(33)).isInstanceOf(IllegalArgumentException.class).hasMessageContaining("33");
        assertThatThrownBy(() -> WideLayout.of(12)).isInstanceOf(IllegalArgumentException.class).hasMessageContaining("12");
    }
}
