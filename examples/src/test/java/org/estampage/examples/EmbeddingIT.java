package org.estampage.examples;

import static org.assertj.core.api.Assertions.assertThat;
import static org.junit.jupiter.api.Assumptions.assumeTrue;

import java.io.File;
import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.stream.Collectors;
import jdk.incubator.vector.FloatVector;
import org.estampage.io.MeshFiles;
import org.estampage.lowpoly.Lathe;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;
import org.estampage.testresources.Bollard;
import org.estampage.testresources.Shape;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.TestInstance;
import org.junit.jupiter.api.io.TempDir;

/**
 * Compiles and runs a program of somebody else's against the packed jars, with the JDK's own tools: on the class path, on the module path, and linked
 * into a run-time image, each with and without the Vector API's module.
 */
@TestInstance(TestInstance.Lifecycle.PER_CLASS)
class EmbeddingIT {
    private static final Path SOURCES = Path.of("embedding/src/main/java");
    private static final String VECTORS = "jdk.incubator.vector";
    private static final List<String> NEEDED = List.of("estampage-engine-", "jackson-annotations-", "jackson-core-", "jackson-databind-",
            "joml-",
            "jspecify-");

    private final List<Path> jars = new ArrayList<>();
    private Path folder = SOURCES;
    private Path modules = SOURCES;
    private List<String> onClassPath = List.of();
    private String scalar = "";

    @BeforeAll
    void compile(@TempDir Path temporary) throws Exception {
        folder = temporary;
        for (String entry : System.getProperty("java.class.path").split(File.pathSeparator)) {
            if (NEEDED.stream().anyMatch(new File(entry).getName()::startsWith)) {
                jars.add(Path.of(entry));
            }
        }
        assertThat(jars).as("the engine's jar and what it needs").hasSize(NEEDED.size());
        Shape shape = Bollard.generate(6_000);
        Mesh high = Mesh.builder(shape.positions(), shape.triangles()).build();
        MeshFiles.write(high, folder.resolve("high.ply"), Task.silent());
        MeshFiles.write(Lathe.around(high).sides(12).rings(8).size(96).build(), folder.resolve("low.obj"), Task.silent());
        modules = folder.resolve("modules");
        Path classes = folder.resolve("classes");
        String program = SOURCES.resolve("embedding/Embedding.java").toString();
        run("javac", "-Xlint:all,-incubating", "-Werror", "-d", modules.toString(), "--module-path", path(),
                SOURCES.resolve("module-info.java").toString(),
                program);
        run("javac", "-Xlint:all,-incubating", "-Werror", "-d", classes.toString(), "--class-path", path(), program);
        onClassPath = List.of("--class-path", path() + File.pathSeparator + classes, "embedding.Embedding");
        scalar = bake("java", false, onClassPath);
    }

    @Test
    void classPathAndModulePath_withAndWithoutVectors_giveTheSameBits() throws Exception {
        List<String> onModulePath = List.of("--module-path", path() + File.pathSeparator + modules, "--module",
                "embedding/embedding.Embedding");
        assertThat(scalar).matches("normal -?\\d+\nocclusion -?\\d+\n");
        assertThat(bake("java", false, onModulePath)).isEqualTo(scalar);
        assumeVectors();
        assertThat(bake("java", true, onClassPath)).isEqualTo(scalar);
        assertThat(bake("java", true, onModulePath)).isEqualTo(scalar);
    }

    @Test
    void linkedImage_holdsTheEngine_andGivesTheSameBits() throws Exception {
        String image = folder.resolve("image").toString();
        run("jlink", "--module-path", path() + File.pathSeparator + modules, "--add-modules", "embedding," + VECTORS, "--output", image);
        assertThat(bake(Path.of(image, "bin", "java").toString(), false, List.of("--module", "embedding/embedding.Embedding")))
                .isEqualTo(scalar);
    }

    /** Bakes with the kernels that are asked for, or fails. */
    private String bake(String java, boolean vectors, List<String> program) throws IOException, InterruptedException {
        List<String> command = new ArrayList<>(List.of(java));
        if (vectors) {
            command.addAll(List.of("--add-modules", VECTORS, "-Destampage.kernels=vector"));
        } else {
            // Too short a run for the second compiler to pay, but for vectors, which are slow without it.
            command.add("-XX:TieredStopAtLevel=1");
        }
        command.addAll(program);
        command.addAll(List.of(folder.resolve("high.ply").toString(), folder.resolve("low.obj").toString()));
        return run(command.toArray(String[]::new));
    }

    private static void assumeVectors() {
        assumeTrue(System.getenv("CI") != null || FloatVector.SPECIES_PREFERRED.length() >= 8, "vectors of 8 floats");
    }

    private String path() {
        return jars.stream().map(Path::toString).collect(Collectors.joining(File.pathSeparator));
    }

    /** Runs one of the JDK's tools and returns what it printed; nothing else may be said but that an incubator module is used. */
    private static String run(String... command) throws IOException, InterruptedException {
        if (!command[0].contains(File.separator)) {
            command[0] = Path.of(System.getProperty("java.home"), "bin", command[0]).toString();
        }
        Path messages = Files.createTempFile("embedding", ".txt");
        try {
            Process process = new ProcessBuilder(command).redirectError(messages.toFile()).start();
            String printed = new String(process.getInputStream().readAllBytes(), StandardCharsets.UTF_8);
            int code = process.waitFor();
            String said = Files.readString(messages).lines()
                    .filter(line -> !line.contains("Using incubator modules") && !line.contains("sun.misc.Unsafe"))
                    .collect(Collectors.joining("\n"));
            assertThat(code).as(String.join(" ", command) + "\n" + printed + said).isZero();
            assertThat(said).isEmpty();
            return printed.replace(System.lineSeparator(), "\n");
        } finally {
            Files.delete(messages);
        }
    }
}
