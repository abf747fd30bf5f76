package org.estampage.console;

import java.io.File;
import java.io.IOException;
import java.io.PrintStream;
import java.io.UncheckedIOException;
import java.nio.charset.Charset;
import java.nio.charset.StandardCharsets;
import java.nio.file.FileVisitResult;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.SimpleFileVisitor;
import java.nio.file.StandardCopyOption;
import java.nio.file.attribute.BasicFileAttributes;
import java.nio.file.attribute.FileTime;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.stream.Stream;

/**
 * What happens before the console starts: builds it where it is missing or older than its sources, makes a cache for quicker starts, and writes the file of
 * arguments with which {@code console/estampage} and {@code estampage.cmd} call Java. These only find a JDK: what is decided is decided here, once for both.
 *
 * <p>It runs in a JVM of its own, since a program's own jar can't be replaced on every system. Needs nothing but the JDK, and stands in one file: before the
 * first build it is run from its source.
 */
public final class Launcher {
    private static final int FAILED = 2;
    /** What Java reads files of arguments in: that of the system, which on Windows need not be UTF-8. */
    private static final Charset ENCODING = Charset.forName(System.getProperty("native.encoding"));
    private static final String MAIN = File.separator + Path.of("src", "main") + File.separator;
    /** Below this memory, in bytes, half of it is left to the rest of the machine. */
    private static final long SMALL_MEMORY = 4L << 30;

    private final Path console;
    private final String javaHome;
    private final PrintStream err;

    /**
     * Makes the launcher of a project.
     *
     * @param console  the console's folder
     * @param javaHome the JDK that is to run it
     * @param err      where people are told what takes time
     */
    Launcher(Path console, String javaHome, PrintStream err) {
        this.console = console;
        this.javaHome = javaHome;
        this.err = err;
    }

    /**
     * Makes all ready.
     *
     * @param arguments the console's folder
     */
    @SuppressWarnings("SystemExitOutsideMain") // this is a main method; the check knows it by its parameters' usual name only
    public static void main(String[] arguments) {
        PrintStream err = new PrintStream(System.err, true, StandardCharsets.UTF_8);
        if (arguments.length != 1) {
            err.println("estampage: the launcher takes the console's folder and nothing else");
            System.exit(FAILED);
        }
        // A path may end with a separator, which quotation marks on Windows need.
        Launcher launcher = new Launcher(Path.of(arguments[0]).toAbsolutePath().normalize(), System.getProperty("java.home"), err);
        try {
            System.exit(launcher.prepare() ? 0 : FAILED);
        } catch (IOException | UncheckedIOException e) {
            err.println("estampage: the console can't be made ready: " + e.getMessage());
            System.exit(FAILED);
        } catch (InterruptedException e) {
            System.exit(FAILED);
        }
    }

    /** Makes all ready; returns whether the console can start. */
    boolean prepare() throws IOException, InterruptedException {
        Optional<String> reason = staleness();
        if (reason.isPresent() && !build(reason.get())) {
            return false;
        }
        Path jar = jar().orElseThrow(() -> new IOException("the build left no jar in " + target()));
        String key = key(jar);
        if (key.equals(firstLine(arguments()))) {
            return true;
        }
        if (!Files.isWritable(target())) {
            if (Files.isReadable(arguments())) {
                return true; // made by another account, for another JDK perhaps: it works, if not as quickly
            }
            throw new IOException(target() + " can't be written; start the console once as its owner");
        }
        write(key, jar, false);
        write(key, jar, makeCache());
        return true;
    }

    private Path target() {
        return console.resolve("target");
    }

    private Path arguments() {
        return target().resolve("launch.args");
    }

    private Path cache() {
        return target().resolve("estampage.aot");
    }

    /** Returns the console's jar; empty before the first build. */
    private Optional<Path> jar() throws IOException {
        if (!Files.isDirectory(target())) {
            return Optional.empty();
        }
        try (Stream<Path> files = Files.list(target())) {
            return files.filter(file -> file.getFileName().toString().matches("estampage-console-[0-9].*\\.jar")
                    && !file.getFileName().toString().matches(".*-(sources|javadoc|tests)\\.jar")).max(Launcher::byAge);
        }
    }

    private static int byAge(Path a, Path b) {
        return Long.compare(a.toFile().lastModified(), b.toFile().lastModified());
    }

    /** Returns why the console must be built; empty if it need not be. */
    Optional<String> staleness() throws IOException {
        Optional<Path> jar = jar();
        if (jar.isEmpty() || !Files.isDirectory(target().resolve("lib"))) {
            return Optional.of("first use");
        }
        FileTime built = Files.getLastModifiedTime(jar.get());
        Path root = console.resolveSibling("");
        for (String part : new String[] {"pom.xml", "engine", "console", "test-resources"}) {
            if (Files.exists(root.resolve(part)) && hasNewer(root.resolve(part), built)) {
                return Optional.of("sources have changed");
            }
        }
        return Optional.empty();
    }

    /** Returns whether a source of what runs, or a pom, is newer than a time. */
    private static boolean hasNewer(Path part, FileTime than) throws IOException {
        boolean[] found = new boolean[1];
        Files.walkFileTree(part, new SimpleFileVisitor<>() {
            @Override
            public FileVisitResult preVisitDirectory(Path folder, BasicFileAttributes attributes) {
                String name = folder.getFileName().toString();
                boolean elsewhere = name.equals("target") || name.equals("fetched") || folder.endsWith(Path.of("src", "test"));
                return elsewhere ? FileVisitResult.SKIP_SUBTREE : FileVisitResult.CONTINUE;
            }

            @Override
            public FileVisitResult visitFile(Path file, BasicFileAttributes attributes) {
                boolean counts = file.getFileName().toString().equals("pom.xml") || file.toString().contains(MAIN);
                found[0] = counts && attributes.lastModifiedTime().compareTo(than) > 0;
                return found[0] ? FileVisitResult.TERMINATE : FileVisitResult.CONTINUE;
            }
        });
        return found[0];
    }

    private boolean build(String reason) throws IOException, InterruptedException {
        boolean windows = File.separatorChar == '\\';
        err.println("estampage: building (" + reason + ") ...");
        Path log = Files.createTempFile("estampage-build-", ".log");
        try {
            // Tests are not compiled either: that takes longer than all the rest.
            ProcessBuilder maven = new ProcessBuilder(windows ? "mvn.cmd" : "mvn", "-B", "-q", "-pl", "console", "-am", "package",
                    "-Dmaven.test.skip=true").directory(console.resolveSibling("").toFile()).redirectErrorStream(true)
                    .redirectOutput(log.toFile()).redirectInput(ProcessBuilder.Redirect.from(empty(windows)));
            int code;
            try {
                code = maven.start().waitFor();
            } catch (IOException e) {
                err.println("estampage: the console must be built (" + reason
                        + "), and Maven (mvn) was not found. Install Maven 3.8 or newer.");
                return false;
            }
            if (code != 0) {
                err.print(Files.readString(log));
                err.println("estampage: the build failed, see above.");
                return false;
            }
        } finally {
            Files.deleteIfExists(log);
        }
        // Where nothing that goes into the jar has changed, Maven leaves it as old as it was.
        Optional<Path> jar = jar();
        if (jar.isPresent()) {
            Files.setLastModifiedTime(jar.get(), FileTime.fromMillis(System.currentTimeMillis()));
        }
        return true;
    }

    private static File empty(boolean windows) {
        return new File(windows ? "NUL" : "/dev/null");
    }

    /** Returns what the arguments depend on, as the first line of their file. */
    private String key(Path jar) throws IOException {
        return "# for " + javaHome + " " + Runtime.version() + ", " + Runtime.getRuntime().availableProcessors() + " processors, "
                + jar.toAbsolutePath() + " of " + Files.getLastModifiedTime(jar).toMillis();
    }

    private static String firstLine(Path file) throws IOException {
        if (!Files.isReadable(file)) {
            return "";
        }
        try (Stream<String> lines = Files.lines(file, ENCODING)) {
            return lines.findFirst().orElse("");
        }
    }

    /** Writes the file of arguments, whole or not at all: another start may read it now. */
    private void write(String key, Path jar, boolean cached) throws IOException {
        List<String> lines = new ArrayList<>(List.of(key));
        lines.addAll(options(Runtime.getRuntime().availableProcessors(), memory()));
        if (cached) {
            lines.add(quoted("-XX:AOTCache=" + cache()));
            // One that does not fit is no fault: the JVM goes on without it, and need not say so.
            lines.add("-Xlog:aot*=off");
            lines.add("-Xlog:cds*=off");
        }
        lines.add("-cp");
        lines.add(quoted(jar + File.pathSeparator + target().resolve("lib") + File.separator + "*"));
        Path draft = target().resolve("launch." + ProcessHandle.current().pid() + ".args");
        Files.write(draft, lines, ENCODING);
        Files.move(draft, arguments(), StandardCopyOption.REPLACE_EXISTING);
    }

    /** Returns the memory of this machine in bytes: the JVM takes a quarter of it unless told otherwise. */
    private static long memory() {
        return Runtime.getRuntime().maxMemory() * 4;
    }

    /** Returns the JVM's options on a machine with so many processors and so much memory. */
    static List<String> options(int processors, long memory) {
        return List.of("--add-modules", "jdk.incubator.vector", "--enable-native-access=ALL-UNNAMED", "-Djoml.nounsafe=true",
                "-Djava.awt.headless=true", "-XX:MaxRAMPercentage=" + (memory < SMALL_MEMORY ? 50 : 70),
                processors > 1 ? "-XX:+UseParallelGC" : "-XX:+UseSerialGC");
    }

    /** Returns a word as files of arguments hold it: in quotation marks, with backslashes doubled. */
    static String quoted(String word) {
        return '"' + word.replace("\\", "\\\\").replace("\"", "\\\"") + '"';
    }

    /** Makes the cache of loaded and linked classes by a first run; returns whether this JDK could. */
    private boolean makeCache() throws IOException, InterruptedException {
        err.println("estampage: preparing quicker starts ...");
        Path script = Files.createTempFile("estampage-", ".jsh");
        Path draft = target().resolve("estampage." + ProcessHandle.current().pid() + ".aot");
        try {
            Files.writeString(script, "IO.println(arg(\"a\", 1) + 1)\n");
            Process run = new ProcessBuilder(Path.of(javaHome, "bin", "java").toString(), "@" + arguments(),
                    "-XX:AOTCacheOutput=" + draft, "org.estampage.console.Main", script.toString())
                    .redirectErrorStream(true).redirectOutput(ProcessBuilder.Redirect.DISCARD).start();
            run.waitFor();
            if (!Files.exists(draft)) {
                return false;
            }
            Files.move(draft, cache(), StandardCopyOption.REPLACE_EXISTING);
            return true;
        } finally {
            Files.deleteIfExists(script);
            Files.deleteIfExists(draft);
        }
    }
}
