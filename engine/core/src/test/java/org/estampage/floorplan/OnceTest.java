package org.estampage.floorplan;

import static org.assertj.core.api.Assertions.assertThat;
import static org.junit.jupiter.api.Assumptions.assumeTrue;

import com.tngtech.archunit.core.domain.Dependency;
import com.tngtech.archunit.core.domain.JavaClass;
import com.tngtech.archunit.core.domain.JavaClasses;
import com.tngtech.archunit.core.importer.ClassFileImporter;
import java.util.ArrayDeque;
import java.util.Deque;
import java.util.HashSet;
import java.util.List;
import java.util.Set;
import java.util.regex.Pattern;
import org.junit.jupiter.api.Test;

/** Packages whose tests run with one kind of kernels only must not be able to tell which. */
class OnceTest {
    private static final String KERNELS = "org.estampage.internal.kernel.Kernels";

    @Test
    void packagesTestedOnce_neverReachTheChoiceOfKernels() {
        String once = System.getProperty("estampage.test.once");
        assumeTrue(once != null, "the build names the packages in a system property");
        Pattern names = Pattern.compile("org\\.estampage\\.(" + once + ")(\\..*)?");
        // The engine's classes and its tests' classes.
        JavaClasses all = new ClassFileImporter().importPackages("org.estampage");
        List<String> reaching = all.stream().filter(c -> names.matcher(c.getPackageName()).matches()).filter(OnceTest::reachesKernels)
                .map(JavaClass::getName).sorted().toList();
        assertThat(reaching).isEmpty();
        // The same question to one that does, and to those that run twice at all.
        assertThat(reachesKernels(all.get("org.estampage.bvh.Bvh"))).isTrue();
        assertThat(reachesKernels(all.get("org.estampage.bake.BakerTest"))).isTrue();
        assertThat(names.matcher("org.estampage.bvh").matches()).isFalse();
    }

    private static boolean reachesKernels(JavaClass start) {
        Set<JavaClass> seen = new HashSet<>();
        Deque<JavaClass> waiting = new ArrayDeque<>(List.of(start));
        while (!waiting.isEmpty()) {
            JavaClass next = waiting.pop();
            if (next.getName().equals(KERNELS)) {
                return true;
            }
            for (Dependency d : next.getDirectDependenciesFromSelf()) {
                JavaClass target = d.getTargetClass().getBaseComponentType();
                if (target.getPackageName().startsWith("org.estampage.") && seen.add(target)) {
                    waiting.push(target);
                }
            }
        }
        return false;
    }
}
