package org.estampage.console;

import java.lang.reflect.Method;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import java.util.stream.Collectors;
import org.estampage.bake.BakeResult;

/**
 * What can stand at the cursor: verbs and the session's own names first, options after a dot, files, verbs and maps within quotation marks, and what
 * else Java knows only where that gives nothing.
 *
 * @threads confined, but for {@link #warmUp}
 */
final class Completions {
    /** Methods that every object has, which nobody looks for in a list. */
    private static final Set<String> EVERY_OBJECT = Set.of("equals(", "getClass()", "hashCode()", "notify()", "notifyAll()", "wait(",
            "toString()", "class");
    /** With so many names of the wanted type the type says nothing: it is Object, or text, or a number. */
    private static final int TOO_MANY = 80;

    /**
     * Something that can stand at the cursor.
     *
     * @param text  what replaces the word
     * @param shown how a list shows it
     * @param line  what it is, in a line; may be empty
     */
    record Suggestion(String text, String shown, String line) {
    }

    /**
     * What was found.
     *
     * @param heading the call that the cursor is in, with its parameters; empty outside of calls
     */
    record Choice(String heading, List<Suggestion> suggestions) {
        static final Choice NONE = new Choice("", List.of());
    }

    private final Snippets snippets;
    private final FileNames files;
    private final SourceDocs docs = new SourceDocs();

    Completions(Snippets snippets, Path folder) {
        this.snippets = snippets;
        this.files = new FileNames(folder);
    }

    /** Does once, on any thread, what makes the first completion slow: the compiler loads. */
    void warmUp() {
        at("cage(l", 6);
    }

    /** Returns what can stand at the cursor; nothing where nothing is known. */
    Choice at(String text, int cursor) {
        CodeAtCursor code = CodeAtCursor.of(text, cursor);
        if (code.isOpaque()) {
            return Choice.NONE;
        }
        Optional<CodeAtCursor.Call> call = code.call();
        if (code.isInString()) {
            boolean closed = text.startsWith("\"", cursor);
            return call.map(c -> new Choice(heading(c), inString(code, c, closed))).orElse(Choice.NONE);
        }
        List<Snippets.Name> names = snippets.names(text, cursor);
        if (code.isMember()) {
            return new Choice("", members(code, names));
        }
        if (call.isPresent()) {
            return new Choice(heading(call.get()), argument(code, names));
        }
        return new Choice("", statement(code, names));
    }

    private List<Suggestion> statement(CodeAtCursor code, List<Snippets.Name> names) {
        List<Suggestion> own = own(code.word());
        return own.isEmpty() ? otherwise(code, names) : own;
    }

    /** Returns the session's own names and the verbs that begin with a word. */
    private List<Suggestion> own(String word) {
        List<Suggestion> suggestions = new ArrayList<>();
        snippets.declared().forEach((name, type) -> {
            if (name.startsWith(word)) {
                suggestions.add(new Suggestion(name, name.replace("(", "(…)"), type));
            }
        });
        for (String verb : Help.names()) {
            if (verb.startsWith(word)) {
                suggestions.add(verb(verb));
            }
        }
        return suggestions;
    }

    private List<Suggestion> argument(CodeAtCursor code, List<Snippets.Name> names) {
        List<Snippets.Name> fitting = names.stream().filter(Snippets.Name::fits).toList();
        if (fitting.size() < Math.min(TOO_MANY, names.size())) {
            Set<String> declared = snippets.declared().keySet();
            return fitting.stream().filter(name -> !code.word().isEmpty() || tellsMore(name, declared))
                    .sorted(Comparator.comparing((Snippets.Name name) -> !declared.contains(name.text())))
                    .map(this::named).toList();
        }
        // Any name would do, so none is offered until a letter says more.
        return code.word().isEmpty() ? List.of() : statement(code, names);
    }

    /** Returns whether a name is worth offering before a letter is typed: not {@code arg}, which gives numbers and texts of any meaning. */
    private static boolean tellsMore(Snippets.Name name, Set<String> declared) {
        String bare = name.text().replaceFirst("\\(\\)?$", "");
        boolean any = Signatures.ofVerb(bare).stream().map(Method::getReturnType)
                .anyMatch(type -> type.isPrimitive() || type == String.class);
        return declared.contains(name.text()) || !(any || bare.equals("valueOf") || bare.equals("values"));
    }

    private List<Suggestion> otherwise(CodeAtCursor code, List<Snippets.Name> names) {
        List<Suggestion> suggestions = new ArrayList<>(names.stream().map(this::named).toList());
        if (suggestions.isEmpty()) {
            Nearest.to(code.word(), Help.names()).ifPresent(meant -> suggestions.add(verb(meant)));
        }
        return suggestions;
    }

    private Suggestion named(Snippets.Name name) {
        String bare = name.text().replaceFirst("\\(\\)?$", "");
        if (!bare.equals(name.text()) && !Signatures.ofVerb(bare).isEmpty()) {
            return verb(bare);
        }
        String type = snippets.declared().getOrDefault(name.text(), "");
        return new Suggestion(name.text(), name.text().replaceFirst("\\($", "(…)"), type);
    }

    private static Suggestion verb(String name) {
        List<Method> overloads = Signatures.ofVerb(name);
        boolean bare = overloads.stream().allMatch(method -> method.getParameterCount() == 0);
        return new Suggestion(name + (bare ? "()" : "("), Signatures.shortly(name, overloads), Help.line(name));
    }

    private List<Suggestion> members(CodeAtCursor code, List<Snippets.Name> names) {
        Map<String, List<Method>> methods = code.receiver().flatMap(snippets::type).map(Signatures::ofMembers).orElse(Map.of());
        List<Suggestion> suggestions = new ArrayList<>();
        List<Suggestion> common = new ArrayList<>();
        for (Snippets.Name name : names) {
            String bare = name.text().replaceFirst("\\(\\)?$", "");
            List<Method> overloads = methods.getOrDefault(bare, List.of());
            boolean call = !bare.equals(name.text());
            String shown = call && !overloads.isEmpty() ? Signatures.shortly(bare, overloads) : name.text().replaceFirst("\\($", "(…)");
            Suggestion suggestion = new Suggestion(name.text(), shown, call ? line(overloads) : "");
            (EVERY_OBJECT.contains(name.text()) ? common : suggestions).add(suggestion);
        }
        return suggestions.isEmpty() ? common : suggestions;
    }

    private String line(List<Method> overloads) {
        return overloads.stream().flatMap(method -> docs.line(method).stream()).findFirst().orElse("");
    }

    private List<Method> meant(CodeAtCursor.Call call) {
        if (call.receiver() == null) {
            return Signatures.ofVerb(call.name());
        }
        return snippets.type(call.receiver()).map(type -> Signatures.ofMembers(type).get(call.name())).orElse(List.of());
    }

    private String heading(CodeAtCursor.Call call) {
        List<Method> overloads = meant(call);
        return overloads.isEmpty() ? "" : Signatures.fully(call.name(), overloads);
    }

    private List<Suggestion> inString(CodeAtCursor code, CodeAtCursor.Call call, boolean closed) {
        if (call.receiver() != null) {
            boolean maps = (call.name().equals("map") || call.name().equals("range"))
                    && snippets.type(call.receiver()).filter(type -> type == BakeResult.class).isPresent();
            return maps ? words(snippets.mapNames(call.receiver()), code, closed) : List.of();
        }
        Set<String> names = parameters(call);
        if (names.contains("path") || names.contains("base")) {
            return files.at(code, call.name(), closed);
        }
        if (call.name().equals("help")) {
            return Help.names().stream().filter(verb -> verb.startsWith(code.string()))
                    .map(verb -> new Suggestion(verb + (closed ? "" : "\")"), verb, Help.line(verb))).toList();
        }
        return List.of();
    }

    /** Returns the names that the parameter at the cursor has in the overloads of a verb. */
    private static Set<String> parameters(CodeAtCursor.Call call) {
        return Signatures.ofVerb(call.name()).stream().filter(method -> method.getParameterCount() > call.argument())
                .map(method -> method.getParameters()[call.argument()]).filter(parameter -> parameter.getType() == String.class)
                .map(parameter -> parameter.getName()).collect(Collectors.toUnmodifiableSet());
    }

    private static List<Suggestion> words(List<String> words, CodeAtCursor code, boolean closed) {
        return words.stream().filter(word -> word.startsWith(code.string()))
                .map(word -> new Suggestion(word + (closed ? "" : "\")"), word, "")).toList();
    }
}
