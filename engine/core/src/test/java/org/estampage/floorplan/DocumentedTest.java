package org.estampage.floorplan;

import static org.assertj.core.api.Assertions.assertThat;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Set;
import java.util.stream.Collectors;
import java.util.stream.Stream;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** Whatever others can call has a comment, in every module; and every package says what it is for. */
class DocumentedTest {
    private static final Path ROOT = Path.of("../..");
    private static final List<String> MODULES = List.of("test-resources", "engine/core", "console", "examples", "benchmarks");

    @TempDir
    Path folder;

    @Test
    void everythingVisible_isDocumented() throws IOException {
        List<Path> sources = sources();
        assertThat(sources).as("files looked at").hasSizeGreaterThan(200);
        assertThat(Undocumented.in(sources)).isEmpty();
    }

    @Test
    void everyPackage_hasAPackageInfo() throws IOException {
        Set<Path> folders = sources().stream().filter(p -> !p.endsWith("module-info.java")).map(Path::getParent)
                .collect(Collectors.toSet());
        assertThat(folders).hasSizeGreaterThan(20).allSatisfy(inside -> assertThat(inside.resolve("package-info.java")).exists());
    }

    @Test
    void plantedGaps_areAllFound() throws IOException {
        Path planted = Files.writeString(folder.resolve("Planted.java"), """
                package planted;

                public class Planted {
                    /***/
                    protected int bare;
                    int hidden;
                    public Planted() {
                    }
                    void hidden() {
                    }
                    @Override
                    public String toString() {
                        return "";
                    }
                    /** Said. */
                    public interface Said {
                        void implied();
                        private void hidden() {
                        }
                    }
                    /**
                     * A pair.
                     *
                     * @param first said
                     */
                    public record Pair(int first, int second) {
                        static int ofNobody;
                    }
                    /** Either. */
                    public enum Either {
                        /** One. */
                        ONE, OTHER
                    }
                    private static class Hidden {
                        public int alsoHidden;
                    }
                }
                """);
        Path info = Files.writeString(folder.resolve("package-info.java"), "package planted;\n");
        assertThat(Undocumented.in(List.of(planted, info))).containsExactly(
                "Planted.java:3: Planted",
                "Planted.java:5: Planted.bare",
                "Planted.java:7: Planted.new",
                "Planted.java:17: Planted.Said.implied",
                "Planted.java:26: Planted.Pair(second)",
                "Planted.java:32: Planted.Either.OTHER",
                "package-info.java:1: planted");
    }

    private static List<Path> sources() throws IOException {
        List<Path> found = new ArrayList<>();
        for (String module : MODULES) {
            Path sources = ROOT.resolve(module).resolve("src/main/java");
            if (Files.isDirectory(sources)) { // the examples are scripts and tests
                try (Stream<Path> files = Files.walk(sources)) {
                    files.filter(p -> p.toString().endsWith(".java")).sorted().forEach(found::add);
                }
            }
        }
        return found;
    }
}
