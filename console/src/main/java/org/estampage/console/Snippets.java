package org.estampage.console;

import java.io.InputStream;
import java.io.PrintStream;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import jdk.jshell.Diag;
import jdk.jshell.EvalException;
import jdk.jshell.JShell;
import jdk.jshell.Snippet;
import jdk.jshell.SnippetEvent;
import jdk.jshell.SourceCodeAnalysis;
import jdk.jshell.UnresolvedReferenceException;
import jdk.jshell.execution.LocalExecutionControlProvider;
import org.jspecify.annotations.Nullable;

/**
 * JShell within this JVM, with the verbs preloaded: what snippets make are this JVM's own objects.
 *
 * @threads confined
 */
final class Snippets implements AutoCloseable {
    private static final List<String> IMPORTS = List.of("import static org.estampage.console.Verbs.*;",
            "import static org.estampage.mesh.Axis.*;",
            "import org.estampage.bake.*;", "import org.estampage.bvh.*;", "import org.estampage.cage.*;",
            "import org.estampage.finding.*;",
            "import org.estampage.image.*;", "import org.estampage.maps.*;", "import org.estampage.mesh.*;", "import java.nio.file.*;",
            "import java.util.*;", "import java.io.IOException;");

    /** What went wrong in a snippet. */
    record Failure(int offset, String message, @Nullable Throwable exception) {
    }

    private final JShell shell;

    Snippets(InputStream in, PrintStream out, PrintStream err) {
        shell = JShell.builder().executionEngine(new LocalExecutionControlProvider(), Map.of()).in(in).out(out).err(err)
                .compilerOptions("-Xlint:none", "--add-modules", "jdk.incubator.vector").build();
        for (String entry : System.getProperty("java.class.path").split(java.io.File.pathSeparator)) {
            if (!entry.isEmpty()) {
                shell.addToClasspath(entry);
            }
        }
        // One compilation for all of them.
        for (String line : IMPORTS) {
            for (SnippetEvent event : shell.eval(line)) {
                if (event.status() != Snippet.Status.VALID) {
                    throw new IllegalStateException("the console's own import failed: " + line);
                }
            }
        }
    }

    @Override
    public void close() {
        shell.close();
    }

    /** Splits off the first snippet of a text. */
    SourceCodeAnalysis.CompletionInfo first(String text) {
        return shell.sourceCodeAnalysis().analyzeCompletion(text);
    }

    /**
     * Runs one snippet.
     *
     * @param values receives what expressions and variables gave, as text; may be null
     * @return what failed, with the offset within {@code source}, or nothing
     */
    Optional<Failure> run(String source, @Nullable List<String> values) {
        for (SnippetEvent event : shell.eval(source)) {
            if (event.causeSnippet() != null) {
                continue; // a consequence for an earlier snippet
            }
            Snippet snippet = event.snippet();
            int base = Math.max(0, source.indexOf(snippet.source()));
            if (event.status() == Snippet.Status.REJECTED || event.status() == Snippet.Status.RECOVERABLE_NOT_DEFINED) {
                return Optional.of(compileFailure(snippet, base));
            }
            if (event.exception() instanceof EvalException e) {
                // JShell's line numbers within a snippet can't be relied on: an exception is shown where its statement begins.
                return Optional.of(new Failure(0, describe(e), e));
            }
            if (event.exception() instanceof UnresolvedReferenceException e) {
                return Optional.of(new Failure(0, "calls something that does not exist: " + unresolved(e), e));
            }
            if (values != null && event.value() != null && !event.value().isEmpty()) {
                values.add(event.value());
            }
        }
        return Optional.empty();
    }

    private String unresolved(UnresolvedReferenceException e) {
        List<String> names = new ArrayList<>();
        shell.unresolvedDependencies(e.getSnippet()).forEach(names::add);
        return String.join(", ", names);
    }

    private Failure compileFailure(Snippet snippet, int base) {
        Diag first = shell.diagnostics(snippet).filter(Diag::isError).findFirst().orElse(null);
        if (first == null) {
            List<String> names = shell.unresolvedDependencies((jdk.jshell.DeclarationSnippet) snippet).toList();
            return new Failure(base, "names that do not exist: " + String.join(", ", names), null);
        }
        String message = first.getMessage(Locale.ROOT);
        StringBuilder text = new StringBuilder();
        for (String line : message.split("\\R")) {
            // The place is one of JShell's wrapper classes, which says nothing to anybody.
            if (!line.strip().startsWith("location:")) {
                text.append(text.isEmpty() ? "" : ", ").append(line.strip().replaceAll("\\s+", " "));
            }
        }
        suggestion(message).ifPresent(meant -> text.append("; did you mean ").append(meant).append("?"));
        int position = first.getPosition() == Diag.NOPOS ? 0 : (int) first.getPosition();
        return new Failure(base + position, text.toString(), null);
    }

    private static final Pattern MISSING = Pattern.compile("symbol:\\s+(?:method|variable)\\s+(\\w+)");

    private static Optional<String> suggestion(String message) {
        Matcher matcher = MISSING.matcher(message);
        return matcher.find() ? Nearest.to(matcher.group(1), Help.names()) : Optional.empty();
    }

    /** Returns what an exception says to people: the message where our own code or the caller's mistake wrote one, else class and message. */
    private static String describe(EvalException e) {
        String name = e.getExceptionClassName();
        String simple = name.substring(name.lastIndexOf('.') + 1).replace('$', '.');
        String message = e.getMessage() == null ? "" : e.getMessage();
        switch (name) {
            case "java.nio.file.NoSuchFileException" -> {
                return (message.contains("exist") ? message : message + " does not exist") + "; check the path, relative ones start at "
                        + Session.current().resolve("").toAbsolutePath();
            }
            case "java.nio.file.AccessDeniedException" -> {
                return message + " can't be opened: no permission";
            }
            case "java.util.concurrent.CancellationException" -> {
                return "cancelled; no partial file was left";
            }
            case "java.lang.OutOfMemoryError" -> {
                return "out of memory (" + Runtime.getRuntime().maxMemory() / (1 << 20)
                        + " MiB); set ESTAMPAGE_JAVA_OPTIONS=-Xmx… or work at a smaller size";
            }
            default -> {
                boolean ours = name.startsWith("org.estampage.") || name.equals("java.lang.IllegalArgumentException")
                        || name.equals("java.lang.IllegalStateException") || name.equals("java.io.IOException");
                return ours && !message.isEmpty() ? message : simple + (message.isEmpty() ? "" : ": " + message);
            }
        }
    }
}
