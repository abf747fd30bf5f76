package org.estampage.bvh;

import static org.assertj.core.api.Assertions.assertThat;

import java.util.ArrayList;
import java.util.List;
import org.estampage.internal.kernel.Kernels;
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
        jvms.add(layouts);
        return jvms;
    }

    @ParameterizedTest
    @MethodSource("jvms")
    void queries_onceCompiled_allocateNothing_inEveryJvm(List<String> layouts) throws Exception {
        List<String> lines = FreshJvm.run(List.of("-Xmx256m"), AllocationProbe.class, layouts.toArray(String[]::new));
        assertThat(lines).hasSize(AllocationProbe.QUERIES * layouts.size()).allSatisfy(
                line -> assertThat(Double.parseDouble(line.substring(0, line.indexOf(' ')))).as(line).isLessThan(AllocationProbe.LITTLE));
    }
}
