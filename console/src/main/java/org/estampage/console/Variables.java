package org.estampage.console;

import java.lang.reflect.Field;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import jdk.jshell.JShell;
import jdk.jshell.Snippet;
import jdk.jshell.SnippetEvent;
import jdk.jshell.VarSnippet;
import org.jspecify.annotations.Nullable;

/**
 * Lets a variable keep its value until a declaration has given it another. JShell makes variables anew, empty: one that is declared again, before its new
 * value is there, and with it all whose declarations name it.
 *
 * @threads confined to the thread that runs snippets
 */
final class Variables {
    private final JShell shell;
    private final SnippetExecution execution;

    Variables(JShell shell, SnippetExecution execution) {
        this.shell = shell;
        this.execution = execution;
    }

    /** What a variable held before a snippet ran. */
    private record Held(VarSnippet declaration, Field home) {
        String name() {
            return declaration.name();
        }

        String type() {
            return declaration.typeName();
        }
    }

    /** Remembers what variables hold, for {@link Before#putBack}. */
    Before before() {
        Map<String, Held> held = new LinkedHashMap<>();
        shell.variables().forEach(variable -> home(variable).ifPresent(home -> held.put(variable.name(), new Held(variable, home))));
        return new Before(held);
    }

    /** Returns what a variable holds; null, too, where it is none that can hold anything. */
    @Nullable
    Object value(VarSnippet variable) {
        return home(variable).map(Variables::value).orElse(null);
    }

    private Optional<Field> home(VarSnippet variable) {
        if (shell.status(variable) != Snippet.Status.VALID) {
            return Optional.empty();
        }
        shell.varValue(variable);
        return Optional.ofNullable(execution.takeAskedFor());
    }

    private Optional<VarSnippet> present(String name) {
        return shell.variables().filter(variable -> variable.name().equals(name) && shell.status(variable) == Snippet.Status.VALID)
                .findFirst();
    }

    /** What variables held before a snippet ran. */
    final class Before {
        private final Map<String, Held> held;

        private Before(Map<String, Held> held) {
            this.held = held;
        }

        /**
         * Gives each variable what it held, unless the snippet gave it another value.
         *
         * @param declared the names that the snippet declares
         * @return what people must know of it, a line each
         */
        List<String> putBack(Set<String> declared) {
            boolean left = execution.takeWasLeft();
            Map<Held, Field> moved = new LinkedHashMap<>();
            for (Held before : held.values()) {
                Field right = execution.lastGiven(before.name()).orElse(before.home);
                if (!present(before.name()).flatMap(Variables.this::home).equals(Optional.of(right))) {
                    moved.put(before, right);
                }
            }
            // What is declared once more empties others in its turn, so values come only when every variable is there.
            Map<Held, @Nullable Object> values = new LinkedHashMap<>();
            moved.forEach((before, right) -> values.put(before, value(right)));
            for (Held before : values.keySet()) {
                if (isNameless(before.name())) {
                    continue;
                }
                boolean fits = present(before.name()).filter(now -> now.typeName().equals(before.type())).isPresent();
                // A snippet that was left may still give its own variable a value: the name must mean another one by then.
                if (!fits || (left && declared.contains(before.name()))) {
                    declare(before);
                }
            }
            List<String> said = new ArrayList<>();
            values.forEach((before, value) -> {
                Optional<Field> now = present(before.name()).flatMap(Variables.this::home);
                boolean kept = now.isPresent() && set(now.get(), value);
                now.ifPresent(home -> execution.given(before.name(), home));
                if (!kept && !isNameless(before.name())) {
                    said.add(before.name() + " has lost its value, whose type is gone");
                } else if (kept && declared.contains(before.name())) {
                    said.add(before.name() + " is still what it was");
                }
            });
            return said;
        }

        private void declare(Held before) {
            for (SnippetEvent event : shell.eval(before.type() + " " + before.name() + ";")) {
                if (event.status() == Snippet.Status.REJECTED) {
                    return; // a type without a name
                }
            }
        }
    }

    /** Returns whether a variable is one that JShell made for an expression's value: not worth a declaration. */
    private static boolean isNameless(String name) {
        return name.startsWith("$");
    }

    private static @Nullable Object value(Field home) {
        try {
            return home.get(null);
        } catch (IllegalAccessException e) {
            throw new IllegalStateException(e);
        }
    }

    /** Sets a variable, and returns whether its type lets it hold the value. */
    private static boolean set(Field home, @Nullable Object value) {
        try {
            home.set(null, value);
            return true;
        } catch (IllegalArgumentException e) { // of the class that had this name before
            return false;
        } catch (IllegalAccessException e) {
            throw new IllegalStateException(e);
        }
    }
}
