package org.estampage.console;

import static org.assertj.core.api.Assertions.assertThat;

import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.PrintStream;
import java.nio.charset.Charset;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.attribute.FileTime;
import java.time.Instant;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** What stands before the console: {@link Launcher}, and the two scripts that call it. {@code estampage.cmd} is read here, not run. */
class LauncherTest {
    private static final Instant OLD = Instant.parse("2026-01-01T00:00:00Z");

    @TempDir
    private Path folder;
    private final ByteArrayOutputStream said = new ByteArrayOutputStream();

    /** Makes a project that was built, with a JDK whose java does what a script says. */
    private Launcher project(String javaScript) throws IOException {
        for (String file : List.of("pom.xml", "engine/core/src/main/java/Engine.java", "engine/core/src/test/java/EngineTest.java",
                "console/pom.xml", "console/src/main/java/Main.java", "console/target/classes/Main.class", "console/target/lib/joml.jar",
                "console/target/estampage-console-1.jar", "test-resources/fetched/src/main/mesh.ply")) {
            Path path = folder.resolve(file);
            Files.createDirectories(path.getParent());
            Files.writeString(path, "");
            Files.setLastModifiedTime(path, FileTime.from(OLD));
        }
        Path java = folder.resolve("jdk/bin/java");
        Files.createDirectories(java.getParent());
        Files.writeString(java, "#!/bin/sh\n" + javaScript + "\n");
        assertThat(java.toFile().setExecutable(true)).isTrue();
        return new Launcher(folder.resolve("console"), folder.resolve("jdk").toString(),
                new PrintStream(said, true, StandardCharsets.UTF_8));
    }

    private void touch(String file) throws IOException {
        Files.setLastModifiedTime(folder.resolve(file), FileTime.from(OLD.plusSeconds(60)));
    }

    private List<String> launchArguments() throws IOException {
        return Files.readAllLines(folder.resolve("console/target/launch.args"), Charset.forName(System.getProperty("native.encoding")));
    }

    @Test
    void build_isAskedFor_whereSourcesOfWhatRunsAreNewer_only() throws IOException {
        Launcher launcher = project("");
        assertThat(launcher.staleness()).isEmpty();
        for (String other : List.of("engine/core/src/test/java/EngineTest.java", "console/target/classes/Main.class",
                "test-resources/fetched/src/main/mesh.ply")) {
            touch(other);
            assertThat(launcher.staleness()).as(other).isEmpty();
        }
        touch("engine/core/src/main/java/Engine.java");
        assertThat(launcher.staleness()).contains("sources have changed");
        touch("console/target/estampage-console-1.jar");
        assertThat(launcher.staleness()).isEmpty();
        Files.delete(folder.resolve("console/target/estampage-console-1.jar"));
        assertThat(launcher.staleness()).contains("first use");
    }

    @Test
    void arguments_areWrittenOnceABuild_withACacheWhereTheJdkMadeOne() throws Exception {
        String makesCache = "for a in \"$@\"; do case $a in -XX:AOTCacheOutput=*) echo cache > \"${a#*=}\" ;; esac; done";
        Launcher launcher = project(makesCache);

        assertThat(launcher.prepare()).isTrue();
        assertThat(said.toString(StandardCharsets.UTF_8)).containsOnlyOnce("preparing quicker starts");
        assertThat(launchArguments()).contains(Launcher.quoted("-XX:AOTCache=" + folder.resolve("console/target/estampage.aot")));
        assertThat(folder.resolve("console/target/estampage.aot")).hasContent("cache");

        said.reset();
        assertThat(launcher.prepare()).isTrue();
        assertThat(said.toString(StandardCharsets.UTF_8)).isEmpty();

        touch("console/target/estampage-console-1.jar"); // a build
        assertThat(launcher.prepare()).isTrue();
        assertThat(said.toString(StandardCharsets.UTF_8)).contains("preparing quicker starts");
        try (var left = Files.list(folder.resolve("console/target"))) {
            assertThat(left.map(path -> path.getFileName().toString())).containsExactlyInAnyOrder("classes", "lib",
                    "estampage-console-1.jar",
                    "estampage.aot", "launch.args");
        }
    }

    @Test
    void jdkWithoutCaches_startsWithoutOne() throws Exception {
        Launcher launcher = project("exit 1");

        assertThat(launcher.prepare()).isTrue();

        assertThat(launchArguments()).noneMatch(line -> line.contains("AOTCache")).contains("--add-modules", "-cp");
    }

    @Test
    void options_goByTheMachine() {
        assertThat(Launcher.options(1, 8L << 30)).contains("-XX:+UseSerialGC", "-XX:MaxRAMPercentage=70");
        assertThat(Launcher.options(2, 8L << 30)).contains("-XX:+UseParallelGC");
        assertThat(Launcher.options(2, 2L << 30)).contains("-XX:MaxRAMPercentage=50");
    }

    @Test
    void quotedWords_arriveAsTheyWere() throws Exception {
        // The JDK's own reader of such files is the judge.
        String word = "a b\\c\"d#e'f%g!h*";
        Path file = folder.resolve("x.args");
        Files.writeString(file, "# a comment\n" + Launcher.quoted("-Dtested=" + word) + "\n-XshowSettings:properties\n-version\n");
        Process java = new ProcessBuilder(Path.of(System.getProperty("java.home"), "bin", "java").toString(), "@" + file)
                .redirectErrorStream(true).start();

        String said = new String(java.getInputStream().readAllBytes(), StandardCharsets.UTF_8);

        assertThat(said).contains("tested = " + word);
    }

    @Test
    void missingMaven_isTold() throws Exception {
        Path console = Files.createDirectories(folder.resolve("empty/console"));
        ProcessBuilder builder = new ProcessBuilder(Path.of(System.getProperty("java.home"), "bin", "java").toString(), "-cp",
                System.getProperty("java.class.path"), Launcher.class.getName(), console.toString()).redirectErrorStream(true);
        builder.environment().put("PATH", folder.toString());
        Process launcher = builder.start();

        String said = new String(launcher.getInputStream().readAllBytes(), StandardCharsets.UTF_8);

        assertThat(launcher.waitFor()).isEqualTo(2);
        assertThat(said).contains("building (first use)", "Maven (mvn) was not found");
    }

    @Test
    void argumentsOfTheCall_passThroughTheShell() throws Exception {
        project("echo call; for a in \"$@\"; do echo \"[$a]\"; done");
        Files.writeString(folder.resolve("jdk/release"), "JAVA_VERSION=\"25\"\n");
        Files.copy(folder.resolve("jdk/bin/java"), folder.resolve("jdk/bin/javac"));
        assertThat(folder.resolve("jdk/bin/javac").toFile().setExecutable(true)).isTrue();
        List<String> words = List.of("--json", "my script.jsh", "a=b c", "x=100%", "y=!z", "p=*", "q=", "", "ü=é", "\\");
        List<String> command = new ArrayList<>(List.of("bash", Path.of("estampage").toAbsolutePath().toString()));
        command.addAll(words);
        ProcessBuilder builder = new ProcessBuilder(command).redirectErrorStream(true);
        builder.environment().put("JAVA_HOME", folder.resolve("jdk").toString());
        builder.environment().put("ESTAMPAGE_JAVA_OPTIONS", "-Xmx1g -Dx=1");

        String said = new String(builder.start().getInputStream().readAllBytes(), StandardCharsets.UTF_8);

        List<String> lines = Arrays.asList(said.split("\n"));
        List<String> second = lines.subList(lines.lastIndexOf("call") + 1, lines.size());
        assertThat(lines.indexOf("call")).isLessThan(lines.lastIndexOf("call")); // the launcher came first
        assertThat(second.get(0)).matches("\\[@.*/target/launch.args]");
        assertThat(second).containsSubsequence("[-Xmx1g]", "[-Dx=1]", "[org.estampage.console.Main]");
        List<String> expected = words.stream().map(word -> "[" + word + "]").toList();
        assertThat(second.subList(second.indexOf("[org.estampage.console.Main]") + 1, second.size())).isEqualTo(expected);
    }

    @Test
    void windowsScript_doesNoMoreThanFindAJdk() throws IOException {
        String text = Files.readString(Path.of("estampage.cmd"), StandardCharsets.US_ASCII);
        // cmd.exe loses labels where lines end otherwise; common practice, no source.
        assertThat(text.replace("\r\n", "")).doesNotContain("\n", "\r");
        String[] lines = text.split("\r\n");
        Matcher jumps = Pattern.compile("(?i)(?:call|goto) :(\\w+)").matcher(text);
        while (jumps.find()) {
            assertThat(lines).contains(":" + jumps.group(1));
        }
        // Exclamation marks of arguments stay only where no variable is expanded late.
        assertThat(text).contains("setlocal disabledelayedexpansion").doesNotContain("!");
        // Folders may hold spaces, brackets and ampersands.
        for (String line : lines) {
            Matcher folders = Pattern.compile("%(HERE|JDK|JAVA_HOME|ProgramFiles|USERPROFILE)%").matcher(line);
            while (folders.find()) {
                long marks = line.substring(0, folders.start()).chars().filter(c -> c == '"').count();
                assertThat(marks % 2).as(line).isOne();
            }
        }
        // The same files and the same class as the other script, and no option of its own.
        assertThat(text).containsOnlyOnce("\"@%HERE%target\\launch.args\" %ESTAMPAGE_JAVA_OPTIONS% org.estampage.console.Main %*")
                .doesNotContain("--add-modules", "mvn", "-XX:MaxRAM", "AOTCache");
        String other = Files.readString(Path.of("estampage"), StandardCharsets.UTF_8);
        assertThat(other).contains("\"@$here/target/launch.args\"").doesNotContain("--add-modules", "mvn", "-XX:MaxRAM", "AOTCache");
        assertThat(text).contains("call :try \"%JAVA_HOME%\"").contains("GEQ 25");
        assertThat(other).contains("needed=25");
    }
}
