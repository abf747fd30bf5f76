package org.estampage.console;

import java.lang.reflect.Method;
import java.lang.reflect.Modifier;
import java.lang.reflect.Parameter;
import java.util.ArrayDeque;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.Comparator;
import java.util.Deque;
import java.util.HashSet;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.stream.Collectors;

/** How methods are shown to people: their parameters' names in a list, with types where one is being called. */
final class Signatures {
    private Signatures() {
    }

    /** Returns the methods that a name may mean as a verb, the one with the fewest parameters first. */
    static List<Method> ofVerb(String name) {
        return Members.ofVerbs(name);
    }

    /** Returns the public methods of a type by name, of each the one with the fewest parameters first. */
    static Map<String, List<Method>> ofMembers(Class<?> type) {
        Set<String> seen = new HashSet<>();
        List<Method> methods = new ArrayList<>();
        Deque<Class<?>> types = new ArrayDeque<>(List.of(type));
        // Not getMethods: of what a class has from one that is not public, it knows bridges only, whose parameters have no names.
        while (!types.isEmpty()) {
            Class<?> next = types.remove();
            for (Method method : next.getDeclaredMethods()) {
                if (Modifier.isPublic(method.getModifiers()) && !method.isSynthetic()
                        && seen.add(method.getName() + Arrays.toString(method.getParameterTypes()))) {
                    methods.add(method);
                }
            }
            if (next.getSuperclass() != null) {
                types.add(next.getSuperclass());
            }
            types.addAll(Arrays.asList(next.getInterfaces()));
        }
        // What a name gives must not hang on the order that reflection has today.
        return methods.stream().sorted(Comparator.comparingInt(Method::getParameterCount).thenComparing(Method::toString))
                .collect(Collectors.groupingBy(Method::getName));
    }

    /** Returns a name with its parameters' names, all overloads in one: {@code cage(low | low, high)}. */
    static String shortly(String name, List<Method> overloads) {
        return name + overloads.stream().map(method -> parameters(method, false)).distinct().collect(Collectors.joining(" | ", "(", ")"));
    }

    /** Returns a name with its parameters' types and names, all overloads in one. */
    static String fully(String name, List<Method> overloads) {
        return name + overloads.stream().map(method -> parameters(method, true)).distinct().collect(Collectors.joining(" | ", "(", ")"));
    }

    private static String parameters(Method method, boolean types) {
        List<String> texts = new ArrayList<>();
        for (Parameter parameter : method.getParameters()) {
            String name = types || !parameter.isNamePresent() ? Members.simpleName(parameter.getParameterizedType()) : parameter.getName();
            if (parameter.isVarArgs()) {
                name = name.endsWith("[]") ? name.substring(0, name.length() - 2) + "…" : name + "…";
            }
            texts.add(types && parameter.isNamePresent() ? name + " " + parameter.getName() : name);
        }
        return String.join(", ", texts);
    }
}
