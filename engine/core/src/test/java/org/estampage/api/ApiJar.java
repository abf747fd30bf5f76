package org.estampage.api;

import java.io.IOException;
import java.io.InputStream;
import java.io.OutputStream;
import java.lang.classfile.Attributes;
import java.lang.classfile.ClassFile;
import java.lang.classfile.ClassModel;
import java.lang.classfile.ClassTransform;
import java.lang.classfile.CodeModel;
import java.lang.classfile.FieldModel;
import java.lang.classfile.MethodModel;
import java.lang.classfile.attribute.BootstrapMethodsAttribute;
import java.lang.classfile.attribute.InnerClassInfo;
import java.lang.classfile.attribute.RuntimeInvisibleAnnotationsAttribute;
import java.lang.classfile.attribute.RuntimeInvisibleTypeAnnotationsAttribute;
import java.lang.classfile.attribute.RuntimeVisibleAnnotationsAttribute;
import java.lang.classfile.attribute.RuntimeVisibleTypeAnnotationsAttribute;
import java.lang.classfile.attribute.SourceFileAttribute;
import java.lang.classfile.constantpool.ClassEntry;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.LocalDateTime;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.TreeMap;
import java.util.TreeSet;
import java.util.jar.JarFile;
import java.util.regex.Pattern;
import java.util.stream.Stream;
import java.util.zip.ZipEntry;
import java.util.zip.ZipOutputStream;
import org.jspecify.annotations.Nullable;

/** The exported API of compiled classes as a small jar: what is public or protected, without any code. The same classes give the same bytes. */
final class ApiJar {
    /** The entry that says which version the jar stands for. */
    private static final String VERSION = "META-INF/version.txt";
    /** Any time will do; this is the earliest that a ZIP file knows. */
    private static final LocalDateTime TIME = LocalDateTime.of(1980, 1, 1, 0, 0);
    private static final Pattern EXPORTS = Pattern.compile("exports ([\\w.]+);");
    private static final int VISIBLE = ClassFile.ACC_PUBLIC | ClassFile.ACC_PROTECTED;

    private ApiJar() {
    }

    /** Writes the exported API of a folder of classes. */
    static void write(Path classes, String version, Path dest) throws IOException {
        Map<String, byte[]> kept = visible(classes);
        try (OutputStream out = Files.newOutputStream(dest); ZipOutputStream zip = new ZipOutputStream(out)) {
            zip.setLevel(9);
            put(zip, VERSION, version.getBytes(StandardCharsets.UTF_8));
            for (Map.Entry<String, byte[]> entry : kept.entrySet()) {
                put(zip, entry.getKey() + ".class", entry.getValue());
            }
        }
    }

    /** Returns the version that a jar stands for. */
    static String version(Path jar) throws IOException {
        try (JarFile file = new JarFile(jar.toFile()); InputStream in = file.getInputStream(file.getEntry(VERSION))) {
            return new String(in.readAllBytes(), StandardCharsets.UTF_8);
        }
    }

    private static void put(ZipOutputStream zip, String name, byte[] bytes) throws IOException {
        ZipEntry entry = new ZipEntry(name);
        entry.setTimeLocal(TIME);
        zip.putNextEntry(entry);
        zip.write(bytes);
        zip.closeEntry();
    }

    /** Returns the classes that can be seen, and those above them, by internal name. */
    private static Map<String, byte[]> visible(Path classes) throws IOException {
        Map<String, ClassModel> all = new TreeMap<>();
        for (String exported : exported()) {
            if (!Files.isDirectory(classes.resolve(exported))) {
                continue; // planted ones have a single package
            }
            try (Stream<Path> files = Files.list(classes.resolve(exported))) {
                for (Path file : files.filter(f -> f.toString().endsWith(".class")).sorted().toList()) {
                    ClassModel model = ClassFile.of().parse(file);
                    all.put(model.thisClass().asInternalName(), model);
                }
            }
        }
        Set<String> seen = new TreeSet<>();
        all.values().stream().filter(c -> isVisible(c, all)).forEach(c -> add(c, all, seen));
        Map<String, byte[]> kept = new TreeMap<>();
        for (String name : seen) {
            kept.put(name, stripped(all.get(name)));
        }
        return kept;
    }

    /** Returns the exported packages as folders. */
    private static List<String> exported() throws IOException {
        return EXPORTS.matcher(Files.readString(Path.of("src/main/java/module-info.java"))).results().map(r -> r.group(1).replace('.', '/'))
                .toList();
    }

    /** Adds a class and what it is a kind of: hidden classes above it hand down what is public in them. */
    private static void add(ClassModel c, Map<String, ClassModel> all, Set<String> inoutSeen) {
        if (inoutSeen.add(c.thisClass().asInternalName())) {
            Stream.concat(c.superclass().stream(), c.interfaces().stream()).map(ClassEntry::asInternalName).map(all::get)
                    .filter(above -> above != null).forEach(above -> add(above, all, inoutSeen));
        }
    }

    /** Returns whether a class can be named from outside: for nested ones all around it must be, too. */
    private static boolean isVisible(ClassModel c, Map<String, ClassModel> all) {
        String name = c.thisClass().asInternalName();
        InnerClassInfo nested = c.findAttribute(Attributes.innerClasses()).stream().flatMap(a -> a.classes().stream())
                .filter(i -> i.innerClass().asInternalName().equals(name)).findFirst().orElse(null);
        if (nested == null) {
            return (c.flags().flagsMask() & ClassFile.ACC_PUBLIC) != 0 && !name.endsWith("package-info");
        }
        ClassModel around = nested.outerClass().map(o -> all.get(o.asInternalName())).orElse(null);
        return around != null && (nested.flagsMask() & VISIBLE) != 0 && isVisible(around, all);
    }

    private static byte[] stripped(@Nullable ClassModel c) {
        if (c == null) {
            throw new AssertionError("only classes of the map are added");
        }
        ClassTransform strip = ClassTransform.dropping(e -> switch (e) {
            case MethodModel m -> (m.flags().flagsMask() & VISIBLE) == 0;
            case FieldModel f -> (f.flags().flagsMask() & VISIBLE) == 0;
            default -> isNoise(e);
        }).andThen(ClassTransform.transformingMethods((builder, e) -> {
            if (!(e instanceof CodeModel) && !isNoise(e)) {
                builder.with(e);
            }
        })).andThen(ClassTransform.transformingFields((builder, e) -> {
            if (!isNoise(e)) {
                builder.with(e);
            }
        }));
        ClassFile file = ClassFile.of(ClassFile.ConstantPoolSharingOption.NEW_POOL, ClassFile.DebugElementsOption.DROP_DEBUG);
        return file.transformClass(c, strip);
    }

    /** Returns whether part of a class says nothing of how it is used. */
    private static boolean isNoise(Object element) {
        return element instanceof SourceFileAttribute || element instanceof RuntimeInvisibleAnnotationsAttribute
                || element instanceof RuntimeVisibleAnnotationsAttribute || element instanceof RuntimeInvisibleTypeAnnotationsAttribute
                || element instanceof RuntimeVisibleTypeAnnotationsAttribute || element instanceof BootstrapMethodsAttribute;
    }
}
