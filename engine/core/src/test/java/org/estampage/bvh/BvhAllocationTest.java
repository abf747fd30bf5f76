package org.estampage.bvh;

import static org.assertj.core.api.Assertions.assertThat;

import java.lang.management.ManagementFactory;
import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import org.estampage.internal.kernel.KernelRun;
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
        List<String> command = new ArrayList<>();
        command.add(Path.of(System.getProperty("java.home"), "bin", "java").toString());
        // What this JVM was told about its machine, such as shorter vectors.
        ManagementFactory.getRuntimeMXBean().getInputArguments().stream().filter(a -> a.startsWith("-XX:")).forEach(command::add);
        if (KernelRun.hasModule()) {
            command.addAll(List.of("--add-modules", "jdk.incubator.vector"));
        }
        command.addAll(
                List.of("-D" + Kernels.PROPERTY + "=" + (Kernels.areVectors() ? "vector" : "scalar"), "-Djoml.nounsafe=true", "-Xmx256m",
                        "-XX:+UseSerialGC", "-cp", System.getProperty("java.class.path"), AllocationProbe.class.getName(), layout));
        Process process = new ProcessBuilder(command).redirectError(ProcessBuilder.Redirect.DISCARD).start();
        String out;
        try {
            out = new String(process.getInputStream().readAllBytes(), StandardCharsets.UTF_8);
            assertThat(process.waitFor()).as(out).isZero();
        } finally {
            process.destroyForcibly();
        }
        assertThat(out.lines()).hasSize(AllocationProbe.QUERIES).allSatisfy(
                line -> assertThat(Double.parseDouble(line.substring(0, line.indexOf(' ')))).as(line).isLessThan(AllocationProbe.LITTLE));
    }
}
