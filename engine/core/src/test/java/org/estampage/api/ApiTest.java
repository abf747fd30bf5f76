package org.estampage.api;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import java.io.IOException;
import java.net.URISyntaxException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import java.util.stream.Stream;
import javax.tools.JavaCompiler;
import javax.tools.ToolProvider;
import org.estampage.mesh.Mesh;
import org.junit.jupiter.api.Tag;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** The exported API against the one that was promised last, which {@code src/api/promised.jar} holds without any code. */
@Tag("once") // no kernel reaches it
class ApiTest {
    private static final Path PROMISED = Path.of("src/api/promised.jar");
    /** With this system property the API of today is what is promised from now on. */
    private static final String PROMISE = "api.promise";
    private static final String HOW = "mvn test -pl engine/core -am -Dtest=ApiTest -Dsurefire.failIfNoSpecifiedTests=false -D" + PROMISE
            + "=true";

    @TempDir
    Path folder;

    @Test
    void exportedApi_keepsWhatWasPromised() throws Exception {
        String version = version();
        Path today = folder.resolve("today.jar");
        ApiJar.write(classes(), version, today);
        boolean renew = Boolean.getBoolean(PROMISE);
        if (!Files.exists(PROMISED) && renew) {
            Files.createDirectories(PROMISED.getParent());
            Files.copy(today, PROMISED);
        }
        String promised = ApiJar.version(PROMISED);
        List<String> broken = Files.mismatch(PROMISED, today) < 0 ? List.of() : ApiChanges.incompatible(PROMISED, today);
        boolean allowed = ApiChanges.mayBreak(promised, version);
        if (renew) {
            assertThat(allowed || ApiChanges.isSnapshot(promised) ? List.of() : broken)
                    .as("what " + promised + " promised can't be taken back by " + version).isEmpty();
            Files.write(PROMISED, Files.readAllBytes(today));
        } else {
            assertThat(allowed ? List.of() : broken)
                    .as("what " + promised + " promised and " + version + " breaks; keep it, or say so in CHANGELOG.md under Breaking and "
                            + (ApiChanges.isSnapshot(promised) ? "promise today's: " + HOW : "raise the version"))
                    .isEmpty();
        }
        assertThat(Files.size(PROMISED)).as("bytes kept in the repository").isBetween(50_000L, 1_000_000L);
    }

    @Test
    void version_mayBreakOnlyWithItsFirstNumberThatCounts() {
        assertThat(ApiChanges.mayBreak("0.1.0", "0.1.1-SNAPSHOT")).isFalse();
        assertThat(ApiChanges.mayBreak("0.1.0", "0.2.0-SNAPSHOT")).isTrue();
        assertThat(ApiChanges.mayBreak("0.9.0", "1.0.0")).isTrue();
        assertThat(ApiChanges.mayBreak("1.2.0", "1.3.0-SNAPSHOT")).isFalse();
        assertThat(ApiChanges.mayBreak("1.2.0", "2.0.0-SNAPSHOT")).isTrue();
        assertThat(ApiChanges.mayBreak("1.2.0", "0.9.0")).isFalse();
        assertThatThrownBy(() -> ApiChanges.mayBreak("1.2", "1.3")).isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining("1.2");
    }

    private static final String BEFORE = """
            package org.estampage.bake;
            public final class Planted {
                public static final int LIMIT = 3;
                public int kept(int a) { return a; }
                public int gone() { return 1; }
                public void moved(int a) { }
                protected void inner() { }
                void hidden() { }
                public interface Contract { void asked(); }
                public record Pair(int a, int b) { }
                static final class Own { public void noOnesBusiness() { } }
            }
            """;

    @Test
    void plantedBreaks_areAllFound() throws Exception {
        List<String> broken = planted("""
                package org.estampage.bake;
                public final class Planted {
                    public static final int LIMIT = 3;
                    public int kept(int a) { return a; }
                    public void moved(long a) { }
                    protected void inner() { }
                    public interface Contract { void asked(); void askedMore(); }
                    public record Pair(int a, int b, int c) { }
                }
                """);
        assertThat(broken).containsExactly(
                "org.estampage.bake.Planted$Contract.askedMore(): METHOD_ADDED_TO_INTERFACE",
                "org.estampage.bake.Planted$Pair.Planted$Pair(int, int): CONSTRUCTOR_REMOVED",
                "org.estampage.bake.Planted.gone(): METHOD_REMOVED",
                "org.estampage.bake.Planted.moved(int): METHOD_REMOVED");
    }

    @Test
    void additions_andWhatNobodySees_breakNothing() throws Exception {
        assertThat(planted("""
                package org.estampage.bake;
                public final class Planted {
                    public static final int LIMIT = 3;
                    public static final int MORE = 4;
                    public int kept(int b) { return b + 1; }
                    public int gone() { return 2; }
                    public int gone(int more) { return 2; }
                    public void moved(int a) { }
                    protected void inner() { }
                    void hidden(int a) { }
                    public interface Contract { void asked(); default void askedMore() { } }
                    public record Pair(int a, int b) { public int sum() { return a + b; } }
                }
                """)).isEmpty();
    }

    private List<String> planted(String after) throws IOException {
        Path older = folder.resolve("older.jar");
        Path newer = folder.resolve("newer.jar");
        ApiJar.write(compiled("before", BEFORE), "0.1.0", older);
        ApiJar.write(compiled("after", after), "0.1.1", newer);
        return ApiChanges.incompatible(older, newer);
    }

    private Path compiled(String name, String source) throws IOException {
        Path classes = Files.createDirectories(folder.resolve(name));
        Path file = Files.writeString(classes.resolve("Planted.java"), source);
        JavaCompiler compiler = ToolProvider.getSystemJavaCompiler();
        assertThat(compiler.run(null, null, null, "-proc:none", "-d", classes.toString(), file.toString())).isZero();
        return classes;
    }

    @Test
    void jar_ofTheSameClasses_hasTheSameBytes_andNoCode() throws Exception {
        Path one = folder.resolve("one.jar");
        Path other = folder.resolve("other.jar");
        ApiJar.write(classes(), "1.2.3", one);
        ApiJar.write(classes(), "1.2.3", other);
        assertThat(Files.mismatch(one, other)).isNegative();
        assertThat(ApiJar.version(one)).isEqualTo("1.2.3");
        try (Stream<Path> all = Files.walk(classes())) {
            long whole = all.filter(Files::isRegularFile).mapToLong(f -> f.toFile().length()).sum();
            assertThat(Files.size(one)).isLessThan(whole / 5);
        }
    }

    private static Path classes() throws URISyntaxException {
        return Path.of(Mesh.class.getProtectionDomain().getCodeSource().getLocation().toURI());
    }

    private static String version() throws IOException {
        Matcher version = Pattern.compile("<artifactId>estampage</artifactId>\\s*<version>([^<]+)</version>")
                .matcher(Files.readString(Path.of("../../pom.xml")));
        assertThat(version.find()).isTrue();
        return version.group(1);
    }
}
