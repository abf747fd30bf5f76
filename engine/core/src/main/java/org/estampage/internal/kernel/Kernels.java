package org.estampage.internal.kernel;

/**
 * Which twin of the kernels runs in this JVM: the scalar one or the one made of vectors. Chosen once.
 *
 * <p>The system property {@value #PROPERTY} can be {@code scalar} or {@code vector}; without it vectors are used where the Vector API's module is there
 * and vectors have at least 8 lanes of floats. Both give the same bits.
 *
 * @threads immutable
 */
public final class Kernels {
    /** The system property that decides. */
    public static final String PROPERTY = "estampage.kernels";
    /** Fewer lanes than these have not been measured to be worth it. */
    private static final int FEWEST_LANES = 8;

    private static final int LANES;
    private static final String REASON;

    static {
        String wish = System.getProperty(PROPERTY, "");
        if (!wish.isEmpty() && !wish.equals("scalar") && !wish.equals("vector")) {
            throw new IllegalStateException("system property " + PROPERTY + " = " + wish + " must be scalar or vector");
        }
        boolean there = ModuleLayer.boot().findModule("jdk.incubator.vector").isPresent();
        int lanes = there ? PreferredVector.floatLanes() : 1;
        if (wish.equals("vector") && lanes < FEWEST_LANES) {
            throw new IllegalStateException("system property " + PROPERTY + " = vector, but "
                    + (there ? "vectors have " + lanes + " floats only" : "the module jdk.incubator.vector is missing (--add-modules)"));
        }
        if (wish.equals("scalar")) {
            LANES = 1;
            REASON = "scalar kernels: " + PROPERTY + " says so";
        } else if (!there) {
            LANES = 1;
            REASON = "scalar kernels: the module jdk.incubator.vector is missing (--add-modules)";
        } else if (lanes < FEWEST_LANES) {
            LANES = 1;
            REASON = "scalar kernels: vectors have " + lanes + " floats only";
        } else {
            LANES = lanes;
            REASON = "vector kernels: vectors have " + lanes + " floats";
        }
    }

    private Kernels() {
    }

    /** Returns whether the vector twins run. */
    public static boolean areVectors() {
        return LANES > 1;
    }

    /** Returns whether vectors run because the system property says so: then they run from the first ray on. */
    static boolean areWished() {
        return areVectors() && !System.getProperty(PROPERTY, "").isEmpty();
    }

    /** Returns how many floats the vector twins work on at once; 1 for the scalar twins. */
    public static int lanes() {
        return LANES;
    }

    /** Returns why, as one sentence for people. */
    public static String reason() {
        return REASON;
    }
}
