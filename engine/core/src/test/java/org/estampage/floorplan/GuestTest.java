package org.estampage.floorplan;

import static org.assertj.core.api.Assertions.assertThat;

import com.tngtech.archunit.core.domain.JavaClass;
import com.tngtech.archunit.core.domain.JavaClasses;
import com.tngtech.archunit.core.domain.JavaField;
import com.tngtech.archunit.core.domain.JavaModifier;
import com.tngtech.archunit.core.importer.ClassFileImporter;
import com.tngtech.archunit.core.importer.ImportOption;
import java.lang.reflect.Field;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Collection;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import java.util.TreeSet;
import java.util.concurrent.atomic.AtomicInteger;
import java.util.regex.Pattern;
import java.util.stream.Collectors;
import org.estampage.mesh.Mesh;
import org.junit.jupiter.api.Test;

/** A library is a guest in somebody's program: it does not print, exit, or change what belongs to all, and keeps nothing from call to call. */
class GuestTest {
    /** What changes the host's process, by owner and name. */
    private static final Set<String> RUDE = Set.of("java.lang.System.exit", "java.lang.System.setProperty",
            "java.lang.System.setProperties",
            "java.lang.System.setOut", "java.lang.System.setErr", "java.lang.System.setIn", "java.lang.Runtime.exit",
            "java.lang.Runtime.halt",
            "java.lang.Runtime.addShutdownHook", "java.lang.Thread.setDefaultUncaughtExceptionHandler", "java.util.Locale.setDefault",
            "java.util.TimeZone.setDefault", "javax.imageio.ImageIO.setUseCache", "javax.imageio.ImageIO.setCacheDirectory",
            "java.lang.IO.println", "java.lang.IO.print", "java.lang.IO.readln");
    private static final Pattern PRINTED = Pattern.compile("java\\.lang\\.System\\.(out|err)");
    /** Constants of types that can't change, or that nobody can change: those of this house are looked into. */
    private static final Pattern CONSTANT = Pattern.compile("java\\.lang\\.(String|Class|Integer|Long|Double|Float|Byte|Boolean|Character)"
            + "|java\\.lang\\.invoke\\.(VarHandle|MethodHandle)|java\\.util\\.regex\\.Pattern|java\\.math\\..*|java\\.time\\..*"
            + "|java\\.nio\\.charset\\.Charset|java\\.nio\\.ByteOrder|java\\.util\\.Comparator|java\\.awt\\..*Color|java\\.util\\.HexFormat"
            + "|jdk\\.incubator\\.vector\\..*|org\\.joml\\..*c|java\\.lang\\.System\\$Logger|java\\.lang\\.ScopedValue"
            // Safe for many threads once they are made, and never changed here.
            + "|com\\.fasterxml\\.jackson\\.databind\\.(ObjectMapper|node\\.JsonNodeFactory)");
    /** What may be kept, and why that can't be noticed. */
    private static final Map<String, String> KEPT = Map.ofEntries(
            Map.entry("org.estampage.bvh.BinnedSahBuilder.BUILT",
                    "counts triangles, to know when vectors are worth compiling; trees are the same"),
            Map.entry("org.estampage.internal.kernel.VectorWalks.ASKED",
                    "counts rays, to know when vectors are worth compiling; hits are the same"),
            Map.entry("org.estampage.bvh.WideTracer.STREAM8", "scratch arrays of a thread"),
            Map.entry("org.estampage.bvh.WideTracer.PLAIN", "scratch arrays of a thread"),
            Map.entry("org.estampage.bvh.WideTracer.STREAM16", "scratch arrays of a thread"),
            Map.entry("org.estampage.bvh.WideTracer.HEMISPHERES", "scratch arrays of a thread"),
            Map.entry("org.estampage.bvh.BinaryTracer.TRAVERSAL", "scratch arrays of a thread"),
            Map.entry("org.estampage.bvh.BinaryTracer.HEMISPHERES", "scratch arrays of a thread"),
            Map.entry("org.estampage.io.format.PendingFile.NUMBER", "keeps two files that are written at once apart"),
            Map.entry("org.estampage.internal.kernel.WideKernels.STREAMS", "classes made once for a width, at most two"),
            Map.entry("org.estampage.internal.kernel.WideKernels.NEAREST", "classes made once for a width, at most two"),
            Map.entry("org.estampage.image.FloatImage.GIVES_BACK", "gives memory back to the budget it was taken from"));

    /** Does all that is forbidden. */
    @SuppressWarnings({"MutablePublicArray", "NonFinalStaticField", "SystemOut", "SystemExitOutsideMain"}) // planted
    public static final class Rude {
        static int calls;
        static final AtomicInteger COUNT = new AtomicInteger();
        static final List<String> NAMES = new ArrayList<>();
        static final List<String> FIXED = List.of("fixed");
        public static final int[] OPEN = {1};
        private static final int[] OWN = {1};

        private Rude() {
        }

        static void speak() {
            System.out.println("said " + OWN[0]);
            Locale.setDefault(Locale.ROOT);
            if (calls > 0) {
                System.exit(1);
            }
        }
    }

    @Test
    void engine_isAGoodGuest() throws Exception {
        Path folder = Path.of(Mesh.class.getProtectionDomain().getCodeSource().getLocation().toURI());
        JavaClasses classes = new ClassFileImporter().withImportOption(ImportOption.Predefined.DO_NOT_INCLUDE_TESTS).importPath(folder);
        assertThat(violations(classes)).isEmpty();
        Set<String> fields = classes.stream().flatMap(c -> c.getFields().stream()).map(JavaField::getFullName).collect(Collectors.toSet());
        assertThat(fields).as("what may be kept is there").containsAll(KEPT.keySet());
    }

    @Test
    void plantedRudeness_isAllFound() throws Exception {
        String rude = Rude.class.getName();
        assertThat(violations(new ClassFileImporter().importClasses(Rude.class))).containsExactly(
                rude + " calls java.lang.System.exit",
                rude + " calls java.util.Locale.setDefault",
                rude + " uses java.lang.System.out",
                rude + ".COUNT: java.util.concurrent.atomic.AtomicInteger can change",
                rude + ".NAMES: its java.util.ArrayList can change",
                rude + ".OPEN: an array that others can change",
                rude + ".calls is not final");
    }

    private static Collection<String> violations(JavaClasses classes) throws ReflectiveOperationException {
        Set<String> found = new TreeSet<>();
        for (JavaClass c : classes) {
            c.getFieldAccessesFromSelf().stream().map(a -> a.getTarget().getFullName()).filter(PRINTED.asMatchPredicate())
                    .forEach(name -> found.add(c.getName() + " uses " + name));
            c.getMethodCallsFromSelf().stream().map(a -> a.getTargetOwner().getName() + "." + a.getName()).filter(RUDE::contains)
                    .forEach(name -> found.add(c.getName() + " calls " + name));
            for (JavaField f : c.getFields()) {
                if (f.getModifiers().contains(JavaModifier.STATIC) && !f.getModifiers().contains(JavaModifier.SYNTHETIC)) {
                    fault(classes, f).ifPresent(fault -> found.add(f.getFullName() + fault));
                }
            }
        }
        return found;
    }

    private static Optional<String> fault(JavaClasses classes, JavaField f) throws ReflectiveOperationException {
        if (!f.getModifiers().contains(JavaModifier.FINAL)) {
            return Optional.of(" is not final");
        }
        JavaClass type = f.getRawType();
        if (type.isArray()) {
            boolean open = f.getModifiers().contains(JavaModifier.PUBLIC) && f.getOwner().getModifiers().contains(JavaModifier.PUBLIC);
            return open ? Optional.of(": an array that others can change") : Optional.empty();
        }
        boolean harmless = type.isPrimitive() || type.isEnum() || CONSTANT.matcher(type.getName()).matches()
                || KEPT.containsKey(f.getFullName())
                || unchanging(classes, type);
        if (harmless) {
            return Optional.empty();
        }
        if (type.isAssignableTo(Collection.class) || type.isAssignableTo(Map.class)) {
            Field field = Class.forName(f.getOwner().getName()).getDeclaredField(f.getName());
            field.setAccessible(true); // the tests are on the class path
            String made = field.get(null).getClass().getName();
            boolean fixed = made.startsWith("java.util.ImmutableCollections") || made.startsWith("java.util.Collections$Unmodifiable");
            return fixed ? Optional.empty() : Optional.of(": its " + made + " can change");
        }
        return Optional.of(": " + type.getName() + " can change");
    }

    /** Returns whether a type of this house has final fields only. */
    private static boolean unchanging(JavaClasses classes, JavaClass type) {
        return classes.contain(type.getName()) && type.getFields().stream()
                .filter(f -> !f.getModifiers().contains(JavaModifier.STATIC)).allMatch(f -> f.getModifiers().contains(JavaModifier.FINAL));
    }
}
