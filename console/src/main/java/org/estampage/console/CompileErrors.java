package org.estampage.console;

import java.lang.reflect.Method;
import java.lang.reflect.Modifier;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.Collection;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Optional;
import java.util.Set;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import java.util.stream.Collectors;
import java.util.stream.Stream;
import org.estampage.bake.SurfaceMap;
import org.estampage.cage.CageSource;
import org.estampage.mesh.MeshSource;
import org.jspecify.annotations.Nullable;

/** Says what the compiler complains about in the words of who writes a script, with what to do. */
final class CompileErrors {
    private static final Pattern SYMBOL = Pattern.compile("symbol:\\s+(method|variable|class)\\s+(\\w+)(\\(.*\\))?");
    private static final Pattern LOCATION = Pattern
            .compile("location:\\s+(?:(?:variable|method)\\s+\\S+\\s+of type|class|interface)\\s+(\\S+)");
    private static final Pattern CONVERSION = Pattern.compile("incompatible types: (\\S+) cannot be converted to (\\S+)");
    private static final Pattern APPLIED = Pattern
            .compile(
                    "(?:method|constructor) (\\w+) in (?:class|interface|record) (\\S+?)(?:<.*)? cannot be applied to given types.*found:\\s+(.*?)\\s+reason:",
                    Pattern.DOTALL);
    private static final Pattern UNSUITABLE = Pattern.compile("no suitable (?:method|constructor) found for (\\w+)(\\(.*?\\))\\R(.*)",
            Pattern.DOTALL);
    private static final Pattern OWNER = Pattern.compile("(?:method|constructor) (\\w+(?:\\.\\w+)*)\\.(\\w+)[.(]");
    private static final Pattern PACKAGES = Pattern.compile("\\b(?:[a-z]\\w*\\.)+(?=[A-Z])");
    private static final Pattern FILE_ENDING = Pattern
            .compile("\\.(?:obj|ply|stl|gltf|glb|png|jpe?g|exr|tiff?|tga|json|html|jsh|csv|txt)\\b");
    private static final int MOST_SIGNATURES = 8;
    private static final int FEW = 3;
    private static final int WIDTH = 96;

    /**
     * What is wrong and what to do.
     *
     * @param what   one line
     * @param advice one line or a list, or nothing
     */
    record Text(String what, String advice) {
        static Text of(String what, String advice) {
            return new Text(what, advice);
        }
    }

    private final String message;
    private final String source;
    private final int position;
    private final Collection<String> declared;

    private CompileErrors(String message, String source, int position, Collection<String> declared) {
        this.message = message;
        this.source = source;
        this.position = position;
        this.declared = declared;
    }

    /**
     * Explains a message.
     *
     * @param message  the compiler's, in English
     * @param source   the snippet
     * @param position where in it
     * @param declared names of variables and methods that there are besides the verbs
     */
    static Text of(String message, String source, int position, Collection<String> declared) {
        return new CompileErrors(message, source, Math.clamp(position, 0, source.length()), declared).text();
    }

    private Text text() {
        Matcher symbol = SYMBOL.matcher(message);
        if (symbol.find()) {
            return missing(symbol.group(1), symbol.group(2), plain(symbol.group(3) == null ? "" : symbol.group(3)));
        }
        Matcher conversion = CONVERSION.matcher(message);
        if (conversion.find()) {
            return conversion(conversion.group(1), conversion.group(2));
        }
        Matcher applied = APPLIED.matcher(message);
        if (applied.find()) {
            String found = applied.group(3).equals("no arguments") ? "()" : "(" + plain(applied.group(3)).replace(",", ", ") + ")";
            return unsuitable(applied.group(1), found, applied.group(2));
        }
        Matcher unsuitable = UNSUITABLE.matcher(message);
        if (unsuitable.find()) {
            Matcher owner = OWNER.matcher(unsuitable.group(3));
            return unsuitable(unsuitable.group(1), plain(unsuitable.group(2)).replace(",", ", "), owner.find() ? owner.group(1) : "");
        }
        return Text.of(plain(oneLine(message)), advice());
    }

    /** Returns what to do about what the compiler already says well. */
    private String advice() {
        if (message.contains("unclosed character literal") || message.contains("empty character literal")) {
            return "texts, as paths and names, stand in double quotation marks: \"sculpt.ply\"";
        }
        if (message.contains("unclosed string literal")) {
            return "the text's second quotation mark is missing on this line";
        }
        if (message.contains("initializer is 'null'")) {
            return "say its type instead of var: Mesh low = null";
        }
        if (message.contains("unexpected type")) {
            return "= sets a variable, == compares";
        }
        if (message.contains("lossy conversion")) {
            return "a whole number is needed here: leave out the point, or write (int) in front";
        }
        if (message.contains("integer number too large")) {
            return "whole numbers end at 2147483647; a larger one ends in L, one with a point is a double";
        }
        return message.contains("reached end of file") ? "a bracket or a quotation mark is still open" : "";
    }

    private Text missing(String kind, String name, String arguments) {
        Optional<Class<?>> owner = owner();
        if (owner.isPresent()) {
            return missingIn(owner.get(), kind, name, arguments);
        }
        if (kind.equals("class") || Character.isUpperCase(name.charAt(0))) {
            return Text.of("there is no class " + name, nearest(name, classes()).map(near -> "did you mean " + near + "?").orElse(""));
        }
        if (kind.equals("method")) {
            return Text.of("there is no verb " + name + arguments, nearest(name, known(true)).map(near -> "did you mean " + near + "?")
                    .orElse("help() lists the verbs"));
        }
        String behind = source.substring(Math.min(source.length(), position + name.length()));
        if (isNamedArgument(behind)) {
            return Text.of("Java has no arguments with names, as " + name + " is here",
                    isOption(name) ? "options follow as calls: ." + name + "(…)" : "give the value alone");
        }
        if (FILE_ENDING.matcher(behind).lookingAt()) {
            return Text.of("there is no variable " + name, "a path is a text, in quotation marks: \"" + name + word(behind) + "\"");
        }
        if (Help.names().contains(name)) {
            return Text.of("there is no variable " + name,
                    name + " is a verb, which has brackets: " + Members.signature(Members.ofVerbs(name).getFirst()));
        }
        return Text.of("there is no variable " + name, nearest(name, known(false)).map(near -> "did you mean " + near + "?").orElse(""));
    }

    private static String word(String behind) {
        return behind.replaceAll("(?s)^(\\.\\w+).*", "$1");
    }

    /** Returns whether a single = follows, inside of brackets. */
    private boolean isNamedArgument(String behind) {
        String before = Masked.of(source.substring(0, position));
        long open = before.chars().filter(c -> c == '(').count() - before.chars().filter(c -> c == ')').count();
        String rest = behind.stripLeading();
        return open > 0 && rest.startsWith("=") && !rest.startsWith("==");
    }

    private static boolean isOption(String name) {
        return Help.names().stream().flatMap(verb -> Members.given(verb).stream()).flatMap(type -> Members.options(type).stream())
                .anyMatch(method -> method.getName().equals(name));
    }

    private static Text missingIn(Class<?> owner, String kind, String name, String arguments) {
        String type = Members.simpleName(owner);
        List<Method> methods = methods(owner);
        List<Method> same = methods.stream().filter(method -> method.getName().equals(name)).toList();
        if (kind.equals("variable") && !same.isEmpty()) {
            return Text.of(type + " has no field " + name, name + " is called: ." + signatures(same));
        }
        String what = type + " has no " + (kind.equals("method") ? name + arguments : name);
        Optional<String> near = nearest(name, Stream.concat(methods.stream().map(Method::getName), constants(owner)).distinct().toList());
        if (near.isEmpty()) {
            boolean few = !methods.isEmpty() && methods.size() <= FEW;
            return Text.of(what, few ? "it has ." + signatures(methods) : Members.isOurs(owner) ? "help(…) of it lists what it has" : "");
        }
        List<Method> meant = methods.stream().filter(method -> method.getName().equals(near.get())).toList();
        return Text.of(what, "did you mean " + (meant.isEmpty() ? near.get() : "." + signatures(meant)) + "?");
    }

    private static Stream<String> constants(Class<?> owner) {
        return Arrays.stream(owner.getFields()).filter(field -> Modifier.isStatic(field.getModifiers()))
                .map(java.lang.reflect.Field::getName);
    }

    private static List<Method> methods(Class<?> owner) {
        List<Method> methods = new ArrayList<>(Members.options(owner));
        methods.addAll(Members.questions(owner));
        if (methods.isEmpty()) {
            methods.addAll(Arrays.stream(owner.getMethods()).filter(method -> method.getDeclaringClass() != Object.class).toList());
        }
        Arrays.stream(owner.getMethods()).filter(method -> Modifier.isStatic(method.getModifiers())).forEach(methods::add);
        return methods;
    }

    /** Returns the type that lacks a name; nothing if it is the script itself. */
    private Optional<Class<?>> owner() {
        Matcher location = LOCATION.matcher(message);
        return location.find() ? type(location.group(1)) : Optional.empty();
    }

    private static Optional<Class<?>> type(String name) {
        String raw = name.replaceAll("<.*", "");
        for (String candidate = raw;; candidate = candidate.replaceFirst("\\.(\\w+)$", "\\$$1")) { // a nested class has a dollar in its name
            try {
                Class<?> found = Class.forName(candidate, false, CompileErrors.class.getClassLoader());
                return found == Verbs.class ? Optional.empty() : Optional.of(found);
            } catch (ClassNotFoundException e) {
                if (!candidate.matches(".*[A-Z]\\w*\\.\\w+(\\$.*)?")) {
                    return Optional.empty();
                }
            }
        }
    }

    private Text conversion(String from, String to) {
        String call = enclosingCall();
        List<Method> verbs = Help.names().contains(call) ? Members.ofVerbs(call) : List.of();
        int arguments = argumentCount();
        if (!verbs.isEmpty() && verbs.stream().noneMatch(verb -> takes(verb, arguments))) {
            return Text.of(call + " can't be called with " + arguments + (arguments == 1 ? " argument" : " arguments"),
                    "it is " + signatures(verbs));
        }
        String what = (startsWithVowel(plain(from)) ? "an " : "a ") + plain(from) + " stands where "
                + (startsWithVowel(plain(to)) ? "an " : "a ") + plain(to)
                + " is needed";
        String making = making(from, to);
        return Text.of(what, making.isEmpty() && !verbs.isEmpty() ? "it is " + signatures(verbs) : making);
    }

    private static boolean startsWithVowel(String word) {
        return "AEIOaeio".indexOf(word.charAt(0)) >= 0;
    }

    private static boolean takes(Method method, int arguments) {
        return method.isVarArgs() ? arguments >= method.getParameterCount() - 1 : arguments == method.getParameterCount();
    }

    /** Returns how a value of one type becomes one of another. */
    private static String making(String from, String to) {
        Class<?> needed = type(to).orElse(Object.class), given = type(from).orElse(Object.class);
        Optional<Method> way = Members.questions(given).stream()
                .filter(m -> List.of("run", "build").contains(m.getName()) && m.getParameterCount() == 0
                        && needed.isAssignableFrom(m.getReturnType()))
                .findFirst();
        if (way.isPresent() && needed != Object.class) {
            return "it is only described: ." + way.get().getName() + "() gives the " + Members.simpleName(way.get().getReturnType());
        }
        if (given == String.class && MeshSource.class.isAssignableFrom(needed)) {
            return "load(\"…\") reads a mesh from a file";
        }
        if (given == String.class && SurfaceMap.class.isAssignableFrom(needed)) {
            return "maps are calls: normal(), height(), occlusion(64); help(\"maps\") lists them";
        }
        if (given == String.class && List.of("int", "double", "long", "float").contains(to)) {
            return "numbers stand without quotation marks";
        }
        if (CageSource.class.isAssignableFrom(needed) && needed != Object.class) {
            return "cage(low, high) fits a cage, cage(low).offset(0.02) makes one, importedCage(low, mesh) takes one";
        }
        return SurfaceMap.class.isAssignableFrom(given) && needed == String.class
                ? "a map that was baked is asked for by its name: \"normal\""
                : "";
    }

    /** Returns the name in front of the bracket around the place. */
    private String enclosingCall() {
        int open = openBracket();
        Matcher name = Pattern.compile("(\\w+)\\s*$").matcher(open < 0 ? "" : source.substring(0, open));
        return name.find() && (name.start() == 0 || source.charAt(name.start() - 1) != '.') ? name.group(1) : "";
    }

    private int openBracket() {
        String masked = Masked.of(source);
        int depth = 0;
        for (int i = Math.min(position, masked.length()) - 1; i >= 0; i--) {
            char c = masked.charAt(i);
            depth += c == ')' ? 1 : c == '(' ? -1 : 0;
            if (depth < 0) {
                return i;
            }
        }
        return -1;
    }

    private int argumentCount() {
        String masked = Masked.of(source);
        int depth = 0, count = 1;
        for (int i = openBracket() + 1; i < masked.length() && depth >= 0; i++) {
            char c = masked.charAt(i);
            depth += "([{".indexOf(c) >= 0 ? 1 : ")]}".indexOf(c) >= 0 ? -1 : 0;
            count += c == ',' && depth == 0 ? 1 : 0;
        }
        return count;
    }

    private static Text unsuitable(String name, String arguments, String owner) {
        Optional<Class<?>> type = type(owner);
        List<Method> methods = type.isEmpty()
                ? Members.ofVerbs(name)
                : methods(type.get()).stream().filter(method -> method.getName().equals(name)).distinct().toList();
        return Text.of(name + " can't be called with " + arguments, methods.isEmpty() ? "" : "it is " + signatures(methods));
    }

    private static String signatures(List<Method> methods) {
        List<String> all = methods.stream().map(Members::signature).distinct().toList();
        String text = all.stream().limit(MOST_SIGNATURES).collect(Collectors.joining(" or ")) + (all.size() > MOST_SIGNATURES ? " …" : "");
        return text.length() <= WIDTH ? text : text.replace(" or ", System.lineSeparator() + "      or ");
    }

    /** Returns the names that there are; of two that are equally near the first is meant. */
    private Collection<String> known(boolean verbsFirst) {
        Set<String> names = new LinkedHashSet<>(verbsFirst ? Help.names() : declared);
        names.addAll(verbsFirst ? declared : Help.names());
        return names;
    }

    private static Collection<String> classes() {
        Set<String> names = new LinkedHashSet<>(List.of("String", "List", "Map", "Set", "Path", "Files", "Math"));
        for (String verb : Help.names()) {
            for (Method method : Members.ofVerbs(verb)) {
                names.add(method.getReturnType().getSimpleName());
                Arrays.stream(method.getParameterTypes()).forEach(type -> names.add(type.getSimpleName()));
            }
        }
        names.addAll(List.of("SurfaceMask", "LayerMaterial", "Dressing", "ChannelPack", "Encoding", "Range", "Attribute", "Severity"));
        return names;
    }

    private static Optional<String> nearest(String name, Collection<String> names) {
        return Nearest.to(name, names);
    }

    private static String oneLine(String message) {
        return Arrays.stream(message.split("\\R")).map(String::strip).filter(line -> !line.startsWith("location:"))
                .map(line -> line.replaceAll("\\s+", " ")).collect(Collectors.joining(", "));
    }

    /** Returns a text without the packages of classes. */
    static String plain(@Nullable String text) {
        return text == null ? "" : PACKAGES.matcher(text).replaceAll("").replace('$', '.');
    }
}
