package org.estampage.bvh;

import static org.assertj.core.api.Assertions.assertThat;

import java.util.ArrayList;
import java.util.List;
import org.estampage.internal.kernel.Kernels;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.MethodSource;

/**
 * Queries allocate nothing: no boxing, no scratch a call. Each time in a fresh JVM, because the compiler may box vectors in one and not in the next. And
 * one layout a JVM, as users have it, after a few builds: where two wide layouts were walked in one JVM, the second was boxed in about half of them
 * (2 to 60 bytes a ray; the cause was not found).
 */
class BvhAllocationTest {
    static List<String> jvms() {
        if (!Kernels.areVectors()) {
            return List.of(new BinaryLayout().toString());
        }
        List<String> layouts = new ArrayList<>(
                TestStrategies.layouts().stream().filter(WideLayout.class::isInstance).map(Object::toString).toList());
        String chosen = WideLayout.of(Kernels.lanes()).toString();
        layouts.addAll(List.of(chosen, chosen)); // the one that the library chooses here: three JVMs in all
        return layouts;
    }

    @ParameterizedTest
    @MethodSource("jvms")
    void queries_onceCompiled_allocateNothing_inEveryJvm(String layout) throws Exception {
        List<String> lines = FreshJvm.run(List.of("-Xmx256m"), AllocationProbe.class, layout);
        assertThat(lines).hasSize(AllocationProbe.QUERIES).allSatisfy(
                line -> assertThat(Double.parseDouble(line.substring(0, line.indexOf(' ')))).as(line).isLessThan(AllocationProbe.LITTLE));
    }
}
