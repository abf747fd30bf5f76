package org.estampage.bvh;

import static org.assertj.core.api.Assertions.assertThat;

import java.util.ArrayList;
import java.util.List;
import java.util.stream.Stream;
import org.estampage.internal.kernel.Kernels;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.MethodSource;

/**
 * Queries allocate nothing: no boxing, no scratch a call. Each time in a fresh JVM, because the compiler may box vectors in one and not in the next, after a
 * few builds, as users have it; and all layouts in one, because methods that two widths share are compiled for both.
 */
class BvhAllocationTest {
    static List<List<String>> jvms() {
        if (!Kernels.areVectors()) {
            return List.of(List.of(new BinaryLayout().toString()));
        }
        List<String> layouts = TestStrategies.layouts().stream().filter(WideLayout.class::isInstance).map(Object::toString).toList();
        List<List<String>> jvms = new ArrayList<>();
        layouts.forEach(layout -> jvms.add(List.of(layout)));
        jvms.add(List.of(WideLayout.of(Kernels.lanes()).toString())); // the one that the library chooses here once more
        return jvms;
    }

    /** In a JVM that walks trees of all layouts, one after the other: nearest points. (Rays may box there, see the decisions.) */
    @Test
    void nearestPoints_allocateNothing_inAJvmOfAllLayouts() throws Exception {
        if (!Kernels.areVectors()) {
            return;
        }
        List<String> layouts = TestStrategies.layouts().stream().filter(WideLayout.class::isInstance).map(Object::toString).toList();
        List<String> lines = FreshJvm.run(List.of("-Xmx256m"), AllocationProbe.class,
                Stream.concat(Stream.of(AllocationProbe.NEAREST_ALONE), layouts.stream()).toArray(String[]::new));
        checkNothing(lines, layouts.size());
    }

    private static void checkNothing(List<String> lines, int count) {
        assertThat(lines).hasSize(count).allSatisfy(
                line -> assertThat(Double.parseDouble(line.substring(0, line.indexOf(' ')))).as(line).isLessThan(AllocationProbe.LITTLE));
    }

    @ParameterizedTest
    @MethodSource("jvms")
    void queries_onceCompiled_allocateNothing_inEveryJvm(List<String> layouts) throws Exception {
        List<String> lines = FreshJvm.run(List.of("-Xmx256m"), AllocationProbe.class, layouts.toArray(String[]::new));
        checkNothing(lines, AllocationProbe.QUERIES * layouts.size());
    }
}
