package org.estampage.console;

import com.sun.source.doctree.DocCommentTree;
import com.sun.source.doctree.DocTree;
import com.sun.source.doctree.LinkTree;
import com.sun.source.doctree.LiteralTree;
import com.sun.source.doctree.TextTree;
import com.sun.source.tree.ClassTree;
import com.sun.source.tree.CompilationUnitTree;
import com.sun.source.tree.MethodTree;
import com.sun.source.util.DocTrees;
import com.sun.source.util.JavacTask;
import com.sun.source.util.TreePathScanner;
import java.io.IOException;
import java.io.InputStream;
import java.lang.reflect.Method;
import java.net.URI;
import java.nio.charset.StandardCharsets;
import java.util.ArrayDeque;
import java.util.Arrays;
import java.util.Deque;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.stream.Collectors;
import javax.tools.JavaFileObject;
import javax.tools.SimpleJavaFileObject;
import javax.tools.ToolProvider;
import org.jspecify.annotations.Nullable;

/**
 * First sentences of the engine's Javadoc, read from the sources that the console's jar carries, a class when it is first asked for.
 *
 * @threads safe for concurrent calls
 */
final class SourceDocs {
    /** Where the build puts the sources, within the class path. */
    private static final String FOLDER = "/org/estampage/console/sources/";

    /** The sentences of a source file's methods, by {@code Class.method(parameter, parameter)}. */
    private final Map<String, Map<String, String>> files = new HashMap<>();

    /** Returns what a method's Javadoc says first, or what that says which it overrides, without the word "Returns". */
    Optional<String> line(Method method) {
        String tail = "." + method.getName() + Arrays.stream(method.getParameters()).map(p -> p.getName()).collect(
                Collectors.joining(", ", "(", ")"));
        Deque<Class<?>> types = new ArrayDeque<>(List.of(method.getDeclaringClass()));
        while (!types.isEmpty()) {
            Class<?> type = types.remove();
            String line = sentences(type).get(type.getSimpleName() + tail);
            if (line != null) {
                return Optional.of(line.replaceFirst("^Returns ", ""));
            }
            if (type.getSuperclass() != null) {
                types.add(type.getSuperclass());
            }
            types.addAll(Arrays.asList(type.getInterfaces()));
        }
        return Optional.empty();
    }

    private synchronized Map<String, String> sentences(Class<?> type) {
        Class<?> top = type;
        while (top.getEnclosingClass() != null) {
            top = top.getEnclosingClass();
        }
        return files.computeIfAbsent(top.getName(), SourceDocs::read);
    }

    private static Map<String, String> read(String type) {
        String source = source(type);
        Map<String, String> sentences = new HashMap<>();
        if (source == null) {
            return sentences;
        }
        JavaFileObject file = new SimpleJavaFileObject(URI.create("source:///" + type.replace('.', '/') + ".java"),
                JavaFileObject.Kind.SOURCE) {
            @Override
            public CharSequence getCharContent(boolean ignoreEncodingErrors) {
                return source;
            }
        };
        JavacTask task = (JavacTask) ToolProvider.getSystemJavaCompiler().getTask(null, null, problem -> {
        }, List.of("-proc:none"), null, List.of(file));
        DocTrees trees = DocTrees.instance(task);
        try {
            for (CompilationUnitTree unit : task.parse()) {
                new MethodSentences(trees, sentences).scan(unit, "");
            }
        } catch (IOException e) {
            sentences.clear(); // a list without sentences is a list still
        }
        return sentences;
    }

    private static @Nullable String source(String type) {
        try (InputStream in = SourceDocs.class.getResourceAsStream(FOLDER + type.replace('.', '/') + ".java")) {
            return in == null ? null : new String(in.readAllBytes(), StandardCharsets.UTF_8);
        } catch (IOException e) {
            return null;
        }
    }

    private static final class MethodSentences extends TreePathScanner<@Nullable Void, String> {
        private final DocTrees trees;
        private final Map<String, String> sentences;

        MethodSentences(DocTrees trees, Map<String, String> sentences) {
            this.trees = trees;
            this.sentences = sentences;
        }

        @Override
        public @Nullable Void visitClass(ClassTree tree, String outer) {
            return super.visitClass(tree, tree.getSimpleName().toString());
        }

        @Override
        public @Nullable Void visitMethod(MethodTree tree, String type) {
            DocCommentTree comment = trees.getDocCommentTree(getCurrentPath());
            if (comment != null) {
                String names = tree.getParameters().stream().map(p -> p.getName().toString()).collect(Collectors.joining(", ", "(", ")"));
                sentences.put(type + "." + tree.getName() + names, text(comment.getFirstSentence()));
            }
            return null;
        }
    }

    private static String text(List<? extends DocTree> trees) {
        StringBuilder text = new StringBuilder();
        for (DocTree tree : trees) {
            switch (tree) {
                case TextTree plain -> text.append(plain.getBody());
                case LiteralTree literal -> text.append(literal.getBody().getBody());
                case LinkTree link -> text.append(link.getLabel().isEmpty() ? reference(link) : text(link.getLabel()));
                default -> {
                    // markup
                }
            }
        }
        return text.toString().strip().replaceAll("\\s+", " ").replaceFirst("\\.$", "");
    }

    private static String reference(LinkTree link) {
        return link.getReference().getSignature().replaceFirst("^#", "").replace('#', '.');
    }
}
