package org.estampage.console;

import java.lang.reflect.Method;
import java.lang.reflect.Modifier;
import java.lang.reflect.Parameter;
import java.lang.reflect.ParameterizedType;
import java.lang.reflect.Type;
import java.lang.reflect.TypeVariable;
import java.lang.reflect.WildcardType;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.Collection;
import java.util.Comparator;
import java.util.LinkedHashMap;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.function.Predicate;
import java.util.stream.Collectors;
import org.estampage.bake.SurfaceMap;
import org.estampage.bvh.RayTracer;
import org.estampage.task.Task;
import org.jspecify.annotations.Nullable;

/** What the verbs and what they give look like from outside, by reflection: signatures, options, questions. */
final class Members {
    /** Methods that only programs need: the console sets them, or the bake calls them. */
    private static final Set<String> FOR_PROGRAMS = Set.of("task", "tracer", "tracers", "equals", "hashCode", "toString");

    private Members() {
    }

    /** Returns the verbs of a name, those of fewest parameters first. */
    static List<Method> ofVerbs(String name) {
        return sorted(Arrays.stream(Verbs.class.getDeclaredMethods())
                .filter(method -> Modifier.isPublic(method.getModifiers()) && method.getName().equals(name)).toList());
    }

    /** Returns the engine's and the console's types that the verbs of a name give; an option of {@code save} is only handed on. */
    static List<Class<?>> given(String verb) {
        List<Class<?>> types = new ArrayList<>();
        for (Method method : ofVerbs(verb)) {
            Class<?> type = method.getReturnType();
            if (isOurs(type) && type != SaveOption.class && !types.contains(type)) {
                types.add(type);
            }
        }
        return types;
    }

    static boolean isOurs(Class<?> type) {
        return type.getName().startsWith("org.estampage.");
    }

    /** Returns the methods that give an object of the same type, to be called one after another. */
    static List<Method> options(Class<?> type) {
        return methods(type, method -> isOption(type, method) && !method.getName().equals("build"));
    }

    /** Returns the other methods, which give what was described, or something about it. */
    static List<Method> questions(Class<?> type) {
        return methods(type,
                method -> !isOption(type, method) || (method.getName().equals("build") && method.getReturnType() != type));
    }

    private static boolean isOption(Class<?> type, Method method) {
        Class<?> given = method.getReturnType();
        boolean sub = type.isAssignableFrom(given) || (SurfaceMap.class.isAssignableFrom(type) && SurfaceMap.class.isAssignableFrom(given));
        return given != Object.class && (given.isAssignableFrom(type) || sub);
    }

    private static List<Method> methods(Class<?> type, Predicate<Method> wanted) {
        Map<String, Method> found = new LinkedHashMap<>();
        for (Method method : type.getMethods()) {
            Method named = method.isBridge() ? original(type, method) : method;
            if (named != null && isForPeople(type, named) && wanted.test(named)) {
                found.putIfAbsent(signature(named), named);
            }
        }
        return sorted(found.values());
    }

    /** Returns the method that a bridge stands for, which has the parameters' names. */
    private static @Nullable Method original(Class<?> type, Method bridge) {
        for (Class<?> c = type; c != null; c = c.getSuperclass()) {
            for (Method method : c.getDeclaredMethods()) {
                if (!method.isBridge() && method.getName().equals(bridge.getName())
                        && Arrays.equals(method.getParameterTypes(), bridge.getParameterTypes())) {
                    return method;
                }
            }
        }
        return null;
    }

    private static boolean isForPeople(Class<?> type, Method method) {
        if (Modifier.isStatic(method.getModifiers()) || method.getDeclaringClass() == Object.class
                || FOR_PROGRAMS.contains(method.getName())) {
            return false;
        }
        for (Class<?> parameter : method.getParameterTypes()) {
            if (parameter == Task.class || parameter == RayTracer.class) {
                return false;
            }
        }
        return !isDeclaredBy(Collection.class, type, method) && !isDeclaredBy(SurfaceMap.class, type, method)
                && !isDeclaredBy(List.class, type, method);
    }

    private static boolean isDeclaredBy(Class<?> parent, Class<?> type, Method method) {
        return parent.isAssignableFrom(type)
                && Arrays.stream(parent.getMethods()).anyMatch(m -> m.getName().equals(method.getName())
                        && m.getParameterCount() == method.getParameterCount());
    }

    private static List<Method> sorted(Collection<Method> methods) {
        return methods.stream().sorted(Comparator.comparing(Method::getName).thenComparingInt(Method::getParameterCount)
                .thenComparing(Members::signature)).toList();
    }

    /** Returns a method as it is called, with the types and names of its parameters. */
    static String signature(Method method) {
        Parameter[] parameters = method.getParameters();
        return method.getName() + Arrays.stream(parameters).map(parameter -> {
            String type = simpleName(parameter.getParameterizedType());
            String shown = parameter.isVarArgs() ? type.substring(0, type.length() - 2) + "..." : type;
            return shown + " " + parameter.getName();
        }).collect(Collectors.joining(", ", "(", ")"));
    }

    /** Returns a type's name without its packages. */
    static String simpleName(Type type) {
        if (type instanceof Class<?> c) {
            return c.getDeclaringClass() == null ? c.getSimpleName() : c.getDeclaringClass().getSimpleName() + "." + c.getSimpleName();
        }
        if (type instanceof ParameterizedType p) {
            return simpleName(p.getRawType()) + Arrays.stream(p.getActualTypeArguments()).map(Members::simpleName)
                    .collect(Collectors.joining(", ", "<", ">"));
        }
        if (type instanceof WildcardType w) {
            return w.getUpperBounds()[0] == Object.class ? "?" : simpleName(w.getUpperBounds()[0]);
        }
        if (type instanceof TypeVariable<?> v) { // whose bound may be made of itself
            return v.getBounds()[0] instanceof ParameterizedType p ? simpleName(p.getRawType()) : simpleName(v.getBounds()[0]);
        }
        return type.getTypeName();
    }

    /** Returns the nearest type of a value that a script can name: its own, or what it extends or implements. */
    static Class<?> publicType(Class<?> type) {
        if (Modifier.isPublic(type.getModifiers())) {
            return type;
        }
        Set<Class<?>> candidates = new LinkedHashSet<>(List.of(type.getInterfaces()));
        for (Class<?> candidate : candidates) {
            if (Modifier.isPublic(candidate.getModifiers()) && candidate != Comparable.class && candidate != java.io.Serializable.class) {
                return Path.class.isAssignableFrom(candidate) ? Path.class : candidate;
            }
        }
        return type.getSuperclass() == null ? Object.class : publicType(type.getSuperclass());
    }
}
