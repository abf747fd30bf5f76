package org.estampage.benchmarks;

import static org.assertj.core.api.Assertions.assertThat;

import java.io.IOException;
import java.io.InputStream;
import java.net.URISyntaxException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.stream.Stream;
import org.junit.jupiter.api.Test;

/** Without JMH's annotation processor the build stays green and holds no benchmarks. */
class BenchmarkListTest {
    @Test
    void everyBenchmarkClass_isInJmhsList() throws IOException, URISyntaxException {
        Path classes = Path.of(ProjectionBenchmark.class.getProtectionDomain().getCodeSource().getLocation().toURI());
        List<String> names;
        try (Stream<Path> files = Files.list(classes.resolve("org/estampage/benchmarks"))) {
            names = files.map(file -> file.getFileName().toString()).filter(name -> name.endsWith("Benchmark.class"))
                    .map(name -> "org.estampage.benchmarks." + name.substring(0, name.length() - 6)).sorted().toList();
        }
        assertThat(names).hasSizeGreaterThanOrEqualTo(3).contains(ProjectionBenchmark.class.getName());
        String list;
        try (InputStream in = ProjectionBenchmark.class.getResourceAsStream("/META-INF/BenchmarkList")) {
            assertThat(in).as("META-INF/BenchmarkList").isNotNull();
            list = new String(in.readAllBytes(), StandardCharsets.UTF_8);
        }
        assertThat(names).allSatisfy(name -> assertThat(list).contains(name + " "));
    }
}
