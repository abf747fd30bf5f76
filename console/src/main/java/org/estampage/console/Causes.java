package org.estampage.console;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.InvalidPathException;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Optional;
import java.util.Set;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import java.util.stream.Stream;
import jdk.jshell.EvalException;

/** Says what an exception means to people: our own message where one was written for them, else what happened, and what to do. */
final class Causes {
    /** Their messages are written for who calls; those of others say little without their name. */
    private static final Set<String> WITH_WORDS = Set.of("java.lang.IllegalArgumentException", "java.lang.IllegalStateException",
            "java.io.IOException");
    private static final Pattern QUOTED = Pattern.compile("\"\\{?([\\w.-]+)}?\"");
    private static final int MOST_NAMES = 500;

    private Causes() {
    }

    /** Returns what is wrong and what to do. */
    static CompileErrors.Text of(EvalException thrown, Session session) {
        EvalException e = thrown;
        // What carries another exception through a place that allows none says nothing itself; and memory that is full is full, whoever tells it.
        for (Throwable cause = e; cause instanceof EvalException inner; cause = cause.getCause()) {
            String name = inner.getExceptionClassName();
            if (name.equals("java.lang.OutOfMemoryError")) {
                return memory();
            }
            boolean carries = e.getExceptionClassName().equals("java.io.UncheckedIOException")
                    || e.getExceptionClassName().equals("java.util.concurrent.ExecutionException");
            e = carries && inner.getCause() instanceof EvalException carried ? carried : e;
        }
        String message = e.getMessage() == null ? "" : e.getMessage();
        return switch (e.getExceptionClassName()) {
            case "java.nio.file.NoSuchFileException", "java.io.FileNotFoundException" -> noFile(message, session);
            case "java.nio.file.AccessDeniedException" ->
                new CompileErrors.Text(shown(message, session) + " can't be opened or written: no permission", "");
            case "java.nio.file.FileSystemException" -> new CompileErrors.Text(message,
                    message.contains("No space") ? "make room, or write to another disk; no partial file was left" : "");
            case "java.util.concurrent.CancellationException" -> new CompileErrors.Text("cancelled; no partial file was left", "");
            case "java.lang.StackOverflowError" -> new CompileErrors.Text("a method goes on calling itself", "let it end in some case");
            case "java.lang.NullPointerException" -> new CompileErrors.Text(
                    "something that is null was used: " + CompileErrors.plain(message).replaceAll("^Cannot", "can't"), "");
            default -> other(e.getExceptionClassName(), message);
        };
    }

    private static CompileErrors.Text other(String className, String message) {
        boolean words = (className.startsWith("org.estampage.") || WITH_WORDS.contains(className)) && !message.isEmpty();
        String simple = className.substring(className.lastIndexOf('.') + 1).replace('$', '.');
        return words
                ? new CompileErrors.Text(message, meant(message).map(near -> "did you mean \"" + near + "\"?").orElse(""))
                : new CompileErrors.Text(simple + (message.isEmpty() ? "" : ": " + message),
                        "trace() at the prompt, --stacktrace in front of a script show where in the code");
    }

    /** Returns the nearest of a message's words to the one that it quotes: such messages list what there is. */
    private static Optional<String> meant(String message) {
        Matcher quoted = QUOTED.matcher(message);
        if (message.contains("did you mean") || !quoted.find()) {
            return Optional.empty();
        }
        String word = quoted.group(1);
        List<String> others = Arrays.stream(message.substring(quoted.end()).split("[^\\w.-]+"))
                .filter(other -> other.length() > 1 && !other.equalsIgnoreCase(word)).toList();
        return word.length() < 3 ? Optional.empty() : Nearest.to(word, others);
    }

    private static CompileErrors.Text memory() {
        return new CompileErrors.Text("out of memory: the heap of " + Bytes.text(Runtime.getRuntime().maxMemory()) + " is full",
                "bake at a smaller size, fewer maps or samples at once, or let go of large values (result = null); "
                        + "more memory: ESTAMPAGE_JAVA_OPTIONS=-Xmx8g");
    }

    private static CompileErrors.Text noFile(String message, Session session) {
        String text = message.replaceAll(":? (?:does not exist.*|\\(No such file or directory\\))$", "");
        Path path;
        try {
            path = session.resolve(text);
        } catch (InvalidPathException e) {
            return new CompileErrors.Text(message, "");
        }
        Path folder = path.getParent();
        if (folder != null && !Files.isDirectory(folder)) {
            return new CompileErrors.Text(shown(text, session) + " does not exist: there is no folder " + shown(folder.toString(), session),
                    "relative paths start at " + session.resolve("").toAbsolutePath());
        }
        if (path.getFileName() != null && path.getFileName().toString().endsWith(".part")) { // beside the file that was to be written
            return new CompileErrors.Text("no file can be made in " + shown(String.valueOf(folder), session),
                    "write to a folder of your own");
        }
        return new CompileErrors.Text(shown(text, session) + " does not exist", beside(path).map(near -> "did you mean " + near + "?")
                .orElse("relative paths start at " + session.resolve("").toAbsolutePath()));
    }

    private static Optional<String> beside(Path path) {
        Path folder = path.getParent(), name = path.getFileName();
        if (folder == null || name == null) {
            return Optional.empty();
        }
        try (Stream<Path> files = Files.list(folder)) {
            List<String> names = new ArrayList<>(files.limit(MOST_NAMES).map(file -> file.getFileName().toString()).sorted().toList());
            Optional<String> near = Nearest.to(name.toString(), names);
            return near.isPresent() ? near : sameStem(name.toString(), names);
        } catch (IOException e) {
            return Optional.empty();
        }
    }

    /** Returns a file of the same name with another ending. */
    private static Optional<String> sameStem(String name, List<String> names) {
        int dot = name.lastIndexOf('.');
        return dot < 1 ? Optional.empty() : names.stream().filter(other -> other.startsWith(name.substring(0, dot + 1))).findFirst();
    }

    private static String shown(String path, Session session) {
        try {
            return session.shown(Path.of(path)).toString();
        } catch (InvalidPathException e) {
            return path;
        }
    }
}
