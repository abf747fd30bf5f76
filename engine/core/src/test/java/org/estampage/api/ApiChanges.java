package org.estampage.api;

import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.stream.Stream;
import japicmp.cmp.JApiCmpArchive;
import japicmp.cmp.JarArchiveComparator;
import japicmp.cmp.JarArchiveComparatorOptions;
import japicmp.model.AccessModifier;
import japicmp.model.JApiBehavior;
import japicmp.model.JApiClass;
import japicmp.model.JApiCompatibility;
import japicmp.model.JApiCompatibilityChange;

/** What a user of the older of two APIs would have to change, and whether a version may ask that of him. */
final class ApiChanges {
    private ApiChanges() {
    }

    /** Returns what no longer compiles, or no longer links, a line each. */
    static List<String> incompatible(Path older, Path newer) {
        JarArchiveComparatorOptions options = new JarArchiveComparatorOptions();
        options.setAccessModifier(AccessModifier.PROTECTED);
        options.setNoAnnotations(true);
        options.getIgnoreMissingClasses().setIgnoreAllMissingClasses(true);
        List<String> found = new ArrayList<>();
        for (JApiClass c : new JarArchiveComparator(options).compare(new JApiCmpArchive(older.toFile(), "older"),
                new JApiCmpArchive(newer.toFile(), "newer"))) {
            String name = c.getFullyQualifiedName();
            note(c, name, found);
            Stream.concat(c.getConstructors().stream(), c.getMethods().stream()).forEach(m -> note(m, name + "." + signature(m), found));
            c.getFields().forEach(f -> note(f, name + "." + f.getName(), found));
            c.getInterfaces().forEach(i -> note(i, name + " implements " + i.getFullyQualifiedName(), found));
            note(c.getSuperclass(), name + " extends", found);
        }
        return found.stream().distinct().sorted().toList();
    }

    private static String signature(JApiBehavior m) {
        return m.getName() + m.getParameters().stream().map(p -> p.getType()).toList().toString().replace('[', '(').replace(']', ')');
    }

    private static void note(JApiCompatibility part, String what, List<String> inoutFound) {
        for (JApiCompatibilityChange change : part.getCompatibilityChanges()) {
            if (!change.isBinaryCompatible() || !change.isSourceCompatible()) {
                inoutFound.add(what + ": " + change.getType());
            }
        }
    }

    /**
     * Returns whether a version may break what the older one promised: only with a higher first number, or, as long as that is 0, a higher second one.
     *
     * @source Semantic Versioning 2.0.0, semver.org, items 4 and 8; that 0.x promises anything is our own rule
     */
    static boolean mayBreak(String older, String newer) {
        int[] a = numbers(older);
        int[] b = numbers(newer);
        return b[0] > a[0] || (a[0] == 0 && b[0] == 0 && b[1] > a[1]);
    }

    /** Returns whether a version is still to come, so that nobody was promised anything. */
    static boolean isSnapshot(String version) {
        return version.endsWith("-SNAPSHOT");
    }

    private static int[] numbers(String version) {
        String[] parts = version.replace("-SNAPSHOT", "").split("\\.", -1);
        if (parts.length != 3) {
            throw new IllegalArgumentException("version = " + version + " must be three numbers, perhaps with -SNAPSHOT");
        }
        return new int[] {Integer.parseInt(parts[0]), Integer.parseInt(parts[1]), Integer.parseInt(parts[2])};
    }
}
