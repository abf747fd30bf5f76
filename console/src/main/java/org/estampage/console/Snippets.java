package org.estampage.console;

import java.io.InputStream;
import java.io.PrintStream;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.LinkedHashMap;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import java.util.TreeMap;
import jdk.jshell.DeclarationSnippet;
import jdk.jshell.Diag;
import jdk.jshell.EvalException;
import jdk.jshell.ImportSnippet;
import jdk.jshell.JShell;
import jdk.jshell.MethodSnippet;
import jdk.jshell.Snippet;
import jdk.jshell.SnippetEvent;
import jdk.jshell.SourceCodeAnalysis;
import jdk.jshell.UnresolvedReferenceException;
import jdk.jshell.VarSnippet;
import org.estampage.bake.BakeResult;
import org.estampage.bake.SurfaceMap;
import org.jspecify.annotations.Nullable;

/**
 * JShell within this JVM, with the verbs preloaded: what snippets make are this JVM's own objects.
 *
 * @threads confined
 */
final class Snippets implements AutoCloseable {
    private static final List<String> IMPORTS = List.of("import static org.estampage.console.Verbs.*;",
            "import static org.estampage.mesh.Axis.*;", "import static org.estampage.lowpoly.LatheEnd.*;",
            "import static org.estampage.mesh.NormalWeight.*;",
            "import org.estampage.bake.*;", "import org.estampage.bvh.*;", "import org.estampage.cage.*;",
            "import org.estampage.finding.*;",
            "import org.estampage.image.*;", "import org.estampage.maps.*;", "import org.estampage.material.*;",
            "import org.estampage.mesh.*;", "import org.estampage.preview.*;", "import org.estampage.report.*;",
            "import java.nio.file.*;",
            "import java.util.*;", "import java.io.IOException;");

    /**
     * What went wrong in a snippet.
     *
     * @param offset  where, in the snippet's text
     * @param message what, in one line
     * @param advice  what to do, in one line or a list; may be empty
     */
    record Failure(int offset, String message, String advice, @Nullable Throwable exception) {
        /** Returns the failure as it is shown where the snippet was typed: what, the line with a mark, what to do. */
        String atPrompt(String source) {
            return message + System.lineSeparator() + (exception == null ? Place.of(source, offset).marked() : "") + advised();
        }

        /** Returns what to do as a line of its own, or nothing. */
        String advised() {
            return advice.isEmpty() ? "" : "  → " + advice + System.lineSeparator();
        }
    }

    private final JShell shell;
    private final SnippetExecution execution;
    private final Variables variables;
    private final List<String> notes = new ArrayList<>();

    Snippets(InputStream in, PrintStream out, PrintStream err) {
        SnippetExecution.Provider provider = new SnippetExecution.Provider();
        shell = JShell.builder().executionEngine(provider, Map.of()).in(in).out(out).err(err)
                .compilerOptions("-Xlint:none", "--add-modules", "jdk.incubator.vector").build();
        execution = provider.made();
        variables = new Variables(shell, execution);
        for (String entry : System.getProperty("java.class.path").split(java.io.File.pathSeparator)) {
            if (!entry.isEmpty()) {
                shell.addToClasspath(entry);
            }
        }
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

    /** Lets snippets be left that do not stop when they are asked to: for the prompt, which goes on. */
    void leaveWhatDoesNotStop() {
        execution.leaveWhatDoesNotStop();
    }

    /** Lets snippets run again after {@link #stop}. */
    void begin() {
        execution.begin();
    }

    /** Splits off the first snippet of a text. */
    SourceCodeAnalysis.CompletionInfo first(String text) {
        return shell.sourceCodeAnalysis().analyzeCompletion(text);
    }

    /**
     * Runs one snippet. A variable keeps its value unless the snippet gives it another: {@link #takeNotes} tells of those that were in danger.
     *
     * @param later  the text that follows, in which a name that is still missing may be declared; null when nobody knows
     * @param values receives what expressions and variables gave, as text; may be null
     * @return what failed, with the offset within {@code source}, or nothing
     */
    Optional<Failure> run(String source, @Nullable String later, @Nullable List<String> values) {
        for (SnippetEvent event : evaluate(source)) {
            if (event.causeSnippet() != null) {
                continue; // a consequence for an earlier snippet
            }
            Snippet snippet = event.snippet();
            // A snippet begins with the comments in front of it, or is one of several behind them, whose words may stand in them too.
            int start = Masked.start(source);
            int base = source.startsWith(snippet.source()) ? 0 : Math.max(start, source.indexOf(snippet.source(), start));
            int head = Math.max(start, base);
            if (event.status() == Snippet.Status.REJECTED) {
                return Optional.of(compileFailure(snippet, base));
            }
            if (snippet instanceof DeclarationSnippet declaration
                    && (event.status() == Snippet.Status.RECOVERABLE_DEFINED || event.status() == Snippet.Status.RECOVERABLE_NOT_DEFINED)) {
                Optional<Failure> missing = missing(declaration, base, later);
                if (missing.isPresent()) {
                    return missing;
                }
                if (values != null) {
                    values.add(declaration.name() + " waits for " + listed(shell.unresolvedDependencies(declaration).toList()));
                }
            }
            if (event.exception() instanceof EvalException e) {
                // JShell's line numbers within a snippet can't be relied on: an exception is shown where its statement begins.
                return Optional.of(thrown(head, e));
            }
            if (event.exception() instanceof UnresolvedReferenceException e) {
                List<String> names = shell.unresolvedDependencies(e.getSnippet()).toList();
                return Optional.of(new Failure(head, e.getSnippet().name() + " uses what does not exist: " + listed(names),
                        "declare it first; a method waits until all that it uses is there", e));
            }
            Object value = snippet instanceof VarSnippet variable ? variables.value(variable) : execution.takeValue();
            if (values != null && event.value() != null && !event.value().isEmpty()) {
                values.add(Shown.of(value, path -> Session.current().resolve(path.toString())));
            }
        }
        return Optional.empty();
    }

    private List<SnippetEvent> evaluate(String source) {
        Variables.Before before = variables.before();
        Set<String> declared = new LinkedHashSet<>();
        try {
            List<SnippetEvent> events = shell.eval(source);
            for (SnippetEvent event : events) {
                if (event.causeSnippet() == null && event.snippet() instanceof VarSnippet variable) {
                    declared.add(variable.name());
                }
            }
            return events;
        } finally {
            notes.addAll(before.putBack(declared));
        }
    }

    /** Returns what people must know of their variables after what ran, a line each, and forgets it. */
    List<String> takeNotes() {
        List<String> taken = List.copyOf(notes);
        notes.clear();
        return taken;
    }

    /**
     * A name that can stand somewhere, as completion has it.
     *
     * @param text with an opening bracket where a call with arguments begins, with both for one without
     * @param fits whether it has the type that is wanted there
     */
    record Name(String text, boolean fits) {
    }

    /** Returns the names that can stand at the cursor of a text that is being typed, each once. */
    List<Name> names(String text, int cursor) {
        Map<String, Boolean> names = new LinkedHashMap<>();
        for (SourceCodeAnalysis.Suggestion suggestion : shell.sourceCodeAnalysis().completionSuggestions(text, cursor, new int[1])) {
            names.merge(suggestion.continuation(), suggestion.matchesType(), Boolean::logicalOr);
        }
        return names.entrySet().stream().map(name -> new Name(name.getKey(), name.getValue())).toList();
    }

    /** Returns what snippets declared: variables with their types, methods with an opening bracket and what they return. */
    Map<String, String> declared() {
        Map<String, String> declared = new TreeMap<>();
        shell.variables().filter(v -> !v.name().startsWith("$")).forEach(v -> declared.put(v.name(), v.typeName()));
        shell.methods().forEach(m -> declared.put(m.name() + "(", m.signature()));
        return declared;
    }

    /** Returns whether a bare name that is called is a verb. */
    static boolean isVerb(String name) {
        return Help.names().contains(name);
    }

    /** Returns whether a bare name that is called can mean something besides a verb: a snippet's method, or one that a snippet imported. */
    boolean mayCall(String name) {
        return shell.methods().anyMatch(m -> m.name().equals(name))
                || shell.imports().filter(ImportSnippet::isStatic).anyMatch(i -> imports(i.fullname(), name));
    }

    private static boolean imports(String imported, String name) {
        int dot = imported.lastIndexOf('.');
        String last = imported.substring(dot + 1);
        return last.equals(name) || (last.equals("*") && named(imported.substring(0, dot)).stream()
                .flatMap(type -> Arrays.stream(type.getMethods())).anyMatch(method -> method.getName().equals(name)));
    }

    private static Optional<Class<?>> named(String type) {
        try {
            return Optional.of(Class.forName(type, false, Snippets.class.getClassLoader()));
        } catch (ClassNotFoundException | LinkageError e) {
            return Optional.empty();
        }
    }

    /** Returns whether a text ends within a snippet: a bracket, a quotation mark or a comment is open. */
    boolean isUnfinished(String text) {
        String rest = text;
        while (!rest.isBlank()) {
            SourceCodeAnalysis.CompletionInfo info = first(rest);
            if (info.completeness() == SourceCodeAnalysis.Completeness.DEFINITELY_INCOMPLETE) {
                return true;
            }
            String remaining = info.remaining() == null ? "" : info.remaining();
            if (remaining.length() >= rest.length()) {
                return false;
            }
            rest = remaining;
        }
        return false;
    }

    /** Returns the class of an expression's value, as far as it can be told without running it. */
    Optional<Class<?>> type(String expression) {
        String name = shell.sourceCodeAnalysis().analyzeType(expression, expression.length());
        if (name == null) {
            return Optional.empty();
        }
        String raw = name.replaceFirst("<.*", "");
        List<String> candidates = new ArrayList<>(List.of(raw, "java.lang." + raw));
        shell.imports().filter(i -> !i.isStatic()).map(i -> i.fullname()).forEach(i -> candidates.add(
                i.endsWith("*") ? i.substring(0, i.length() - 1) + raw : i.endsWith("." + raw) ? i : raw));
        return candidates.stream().<Class<?>>flatMap(candidate -> named(candidate).stream()).findFirst();
    }

    /** Returns the names of the maps of a result that a variable holds. */
    List<String> mapNames(String variable) {
        if (shell.variables().noneMatch(v -> v.name().equals(variable))) {
            return List.of(); // an expression is not run for a list of names
        }
        begin();
        shell.eval(variable);
        return execution.takeValue() instanceof BakeResult result ? result.job().maps().stream().map(SurfaceMap::name).toList() : List.of();
    }

    /** Asks what runs to stop, from any thread. What loops in the snippet's own code stops; what runs in the library must look at its task. */
    void stop() {
        shell.stop();
    }

    /** Returns a failure if a declaration names what exists neither now nor in the text that follows. */
    private Optional<Failure> missing(DeclarationSnippet declaration, int base, @Nullable String later) {
        // What an import brings can't be told from its text.
        if (later == null || Masked.find(later, "import") >= 0) {
            return Optional.empty();
        }
        for (String dependency : shell.unresolvedDependencies(declaration).toList()) {
            String name = name(dependency);
            if (Masked.find(later, name) < 0) {
                int at = Math.max(0, Masked.find(declaration.source(), name));
                return Optional.of(new Failure(base + at, "there is no " + listed(List.of(dependency)), "", null));
            }
        }
        return Optional.empty();
    }

    /** Returns the bare name of what JShell describes as {@code method load(java.lang.String)} and the like. */
    private static String name(String dependency) {
        String tail = dependency.substring(dependency.indexOf(' ') + 1);
        int end = tail.indexOf('(');
        return end < 0 ? tail : tail.substring(0, end);
    }

    private static String listed(List<String> dependencies) {
        List<String> texts = new ArrayList<>();
        for (String dependency : dependencies) {
            texts.add(dependency.replaceAll("\\b(?:[a-z]\\w*\\.)+(?=[A-Z])", "")
                    + Nearest.to(name(dependency), Help.names()).map(meant -> " (did you mean " + meant + "?)").orElse(""));
        }
        return String.join(", ", texts);
    }

    private Failure compileFailure(Snippet snippet, int base) {
        Diag first = shell.diagnostics(snippet).filter(Diag::isError).findFirst().orElse(null);
        if (first == null) {
            return new Failure(base, "this is not Java", "", null);
        }
        int position = first.getPosition() == Diag.NOPOS ? 0 : (int) first.getPosition();
        List<String> declared = new ArrayList<>();
        shell.variables().map(VarSnippet::name).forEach(declared::add);
        shell.methods().map(MethodSnippet::name).forEach(declared::add);
        CompileErrors.Text text;
        try {
            text = CompileErrors.of(first.getMessage(Locale.ROOT), snippet.source(), position, declared);
        } catch (RuntimeException | LinkageError e) { // an explanation that fails must not hide what is to be explained
            text = new CompileErrors.Text(first.getMessage(Locale.ROOT), "");
        }
        return new Failure(base + position, text.what(), text.advice(), null);
    }

    private static Failure thrown(int offset, EvalException e) {
        Session.current().threw(e);
        CompileErrors.Text text = Causes.of(e, Session.current());
        return new Failure(offset, text.what(), text.advice(), e);
    }
}
