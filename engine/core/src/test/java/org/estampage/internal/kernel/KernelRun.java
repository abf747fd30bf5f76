package org.estampage.internal.kernel;

import org.junit.platform.engine.FilterResult;
import org.junit.platform.engine.TestDescriptor;
import org.junit.platform.engine.support.descriptor.ClassSource;
import org.junit.platform.engine.support.descriptor.MethodSource;
import org.junit.platform.launcher.PostDiscoveryFilter;

/**
 * Which of the build's two runs of the tests this JVM is: the scalar or the vector one; and the filter that leaves nothing of the vector run but
 * {@code KernelRunTest}, which says why, on a machine whose vectors are too short.
 *
 * <p>The filter is found as a service. The build sets {@value #PROPERTY}; an IDE doesn't, then everything runs with the kernels that the engine chooses.
 */
public final class KernelRun implements PostDiscoveryFilter {
    /** The system property that the build sets to {@code scalar} or {@code vector}. */
    public static final String PROPERTY = "estampage.test.run";

    /** Made as a service. */
    public KernelRun() {
    }

    /** Returns {@code scalar}, {@code vector}, or nothing outside the build. */
    public static String wanted() {
        return System.getProperty(PROPERTY, "");
    }

    /** Returns whether this machine and JVM can run the vector kernels; safe to ask where {@link Kernels} refuses to load. */
    public static boolean canBeVectors() {
        return hasModule() && PreferredVector.floatLanes() >= 8;
    }

    /** Returns whether this JVM has the Vector API's module. */
    public static boolean hasModule() {
        return ModuleLayer.boot().findModule("jdk.incubator.vector").isPresent();
    }

    @Override
    public FilterResult apply(TestDescriptor test) {
        if (!wanted().equals("vector") || canBeVectors()) {
            return FilterResult.included("vectors are as wanted");
        }
        String name = test.getSource()
                .map(s -> s instanceof MethodSource m ? m.getClassName() : s instanceof ClassSource c ? c.getClassName() : "")
                .orElse("");
        return FilterResult.includedIf(name.endsWith(".KernelRunTest"), () -> "it says why", () -> "vectors are too short here");
    }
}
