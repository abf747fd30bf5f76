package org.estampage.floorplan;

import com.sun.source.doctree.DocCommentTree;
import com.sun.source.doctree.ParamTree;
import com.sun.source.tree.ClassTree;
import com.sun.source.tree.CompilationUnitTree;
import com.sun.source.tree.MethodTree;
import com.sun.source.tree.ModifiersTree;
import com.sun.source.tree.Tree;
import com.sun.source.tree.VariableTree;
import com.sun.source.util.DocTrees;
import com.sun.source.util.JavacTask;
import com.sun.source.util.TreePath;
import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Collection;
import java.util.List;
import java.util.Set;
import java.util.stream.Collectors;
import javax.lang.model.element.Modifier;
import javax.tools.JavaCompiler;
import javax.tools.StandardJavaFileManager;
import javax.tools.ToolProvider;
import org.jspecify.annotations.Nullable;

/**
 * Finds what others can call and nothing is said about: public and protected types and members without a comment, and components of such records
 * without a {@code @param}. What overrides something may take its comment from there.
 *
 * <p>The documentation tool has such a check, but only together with one for a {@code @param} and a {@code @return} on every method.
 */
final class Undocumented {
    private final DocTrees comments;
    private final CompilationUnitTree file;
    private final List<String> found;

    private Undocumented(DocTrees comments, CompilationUnitTree file, List<String> found) {
        this.comments = comments;
        this.file = file;
        this.found = found;
    }

    /** Returns each finding as {@code file:line: name}. */
    static List<String> in(Collection<Path> files) throws IOException {
        JavaCompiler compiler = ToolProvider.getSystemJavaCompiler();
        List<String> found = new ArrayList<>();
        try (StandardJavaFileManager manager = compiler.getStandardFileManager(null, null, StandardCharsets.UTF_8)) {
            JavacTask task = (JavacTask) compiler.getTask(null, manager, null, List.of("-proc:none"), null,
                    manager.getJavaFileObjectsFromPaths(files));
            DocTrees comments = DocTrees.instance(task);
            for (CompilationUnitTree file : task.parse()) {
                Undocumented search = new Undocumented(comments, file, found);
                TreePath root = new TreePath(file);
                if (file.getPackage() != null && file.getTypeDecls().isEmpty()) {
                    search.check(new TreePath(root, file.getPackage()), file.getPackage().getPackageName().toString());
                }
                for (Tree type : file.getTypeDecls()) {
                    if (type instanceof ClassTree declared) {
                        search.type(new TreePath(root, type), declared, "", false);
                    }
                }
            }
        }
        return found;
    }

    private void type(TreePath path, ClassTree type, String outer, boolean inInterface) {
        if (!isVisible(type.getModifiers(), inInterface)) {
            return;
        }
        String name = outer + type.getSimpleName();
        DocCommentTree comment = check(path, name);
        if (type.getKind() == Tree.Kind.RECORD && comment != null) {
            checkComponents(path, type, name, comment);
        }
        boolean isInterface = type.getKind() == Tree.Kind.INTERFACE || type.getKind() == Tree.Kind.ANNOTATION_TYPE;
        for (Tree member : type.getMembers()) {
            TreePath place = new TreePath(path, member);
            if (member instanceof ClassTree inner) {
                type(place, inner, name + ".", isInterface);
            } else if (member instanceof MethodTree method && isVisible(method.getModifiers(), isInterface) && !overrides(method)) {
                check(place, name + "." + (method.getReturnType() == null ? "new" : method.getName()));
            } else if (member instanceof VariableTree field && isVisible(field.getModifiers(), isInterface)) {
                check(place, name + "." + field.getName());
            }
        }
    }

    private void checkComponents(TreePath path, ClassTree type, String name, DocCommentTree comment) {
        Set<String> described = comment.getBlockTags().stream().filter(ParamTree.class::isInstance)
                .map(tag -> ((ParamTree) tag).getName().toString()).collect(Collectors.toSet());
        for (Tree member : type.getMembers()) {
            // In a record's body every field of an instance is a component.
            if (member instanceof VariableTree component && !component.getModifiers().getFlags().contains(Modifier.STATIC)
                    && !described.contains(component.getName().toString())) {
                report(path, name + "(" + component.getName() + ")");
            }
        }
    }

    private @Nullable DocCommentTree check(TreePath path, String name) {
        DocCommentTree comment = comments.getDocCommentTree(path);
        if (comment == null || comment.getFullBody().isEmpty()) {
            report(path, name);
        }
        return comment;
    }

    private void report(TreePath path, String name) {
        long line = file.getLineMap().getLineNumber(comments.getSourcePositions().getStartPosition(file, path.getLeaf()));
        found.add(Path.of(file.getSourceFile().toUri()).getFileName() + ":" + line + ": " + name);
    }

    private static boolean isVisible(ModifiersTree modifiers, boolean inInterface) {
        Set<Modifier> flags = modifiers.getFlags();
        return flags.contains(Modifier.PUBLIC) || flags.contains(Modifier.PROTECTED) || (inInterface && !flags.contains(Modifier.PRIVATE));
    }

    private static boolean overrides(MethodTree method) {
        return method.getModifiers().getAnnotations().stream().anyMatch(a -> a.getAnnotationType().toString().equals("Override"));
    }
}
