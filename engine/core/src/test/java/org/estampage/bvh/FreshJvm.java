package org.estampage.bvh;

import static org.assertj.core.api.Assertions.assertThat;

import java.io.IOException;
import java.lang.management.ManagementFactory;
import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import org.estampage.internal.kernel.KernelRun;
import org.estampage.internal.kernel.Kernels;

/** Runs a program of the tests in a JVM of its own, with the same kernels. */
final class FreshJvm {
    private FreshJvm() {
    }

    /** Returns the lines that the program prints; it must end well. */
    static List<String> run(List<String> options, Class<?> program, String... arguments) throws IOException, InterruptedException {
        List<String> command = new ArrayList<>();
        command.add(Path.of(System.getProperty("java.home"), "bin", "java").toString());
        // What this JVM was told about its machine, such as shorter vectors.
        ManagementFactory.getRuntimeMXBean().getInputArguments().stream().filter(a -> a.startsWith("-XX:")).forEach(command::add);
        if (KernelRun.hasModule()) {
            command.addAll(List.of("--add-modules", "jdk.incubator.vector"));
        }
        command.addAll(List.of("-D" + Kernels.PROPERTY + "=" + (Kernels.areVectors() ? "vector" : "scalar"), "-Djoml.nounsafe=true",
                "-XX:+UseSerialGC"));
        command.addAll(options);
        command.addAll(List.of("-cp", System.getProperty("java.class.path"), program.getName()));
        command.addAll(List.of(arguments));
        Process process = new ProcessBuilder(command).redirectError(ProcessBuilder.Redirect.DISCARD).start();
        try {
            String out = new String(process.getInputStream().readAllBytes(), StandardCharsets.UTF_8);
            assertThat(process.waitFor()).as(out).isZero();
            return out.lines().toList();
        } finally {
            process.destroyForcibly();
        }
    }
}
