package org.estampage.bvh;

import static org.assertj.core.api.Assertions.assertThat;
import static org.junit.jupiter.api.Assumptions.assumeTrue;

import org.estampage.internal.kernel.KernelRun;
import org.estampage.internal.kernel.Kernels;
import org.estampage.task.Task;
import org.junit.jupiter.api.Test;

/** Each of the build's two runs of the tests truly runs the kernels that it is named after. */
class KernelRunTest {
    @Test
    @SuppressWarnings("SystemOut") // a run that is passed over must be seen
    void kernels_areThoseOfThisRun() {
        if (KernelRun.wanted().equals("vector") && !KernelRun.canBeVectors()) {
            String why = "the vector run is passed over: this machine's vectors have fewer than 8 floats";
            assertThat(System.getenv("CI")).as("CI is set, which demands the vector run; but %s", why).isNull();
            System.out.println(why);
            assumeTrue(false, why);
        }
        assertThat(complaint(KernelRun.wanted(), Kernels.areVectors(), Kernels.reason(), KernelRun.hasModule(),
                layoutOfTheLibrary())).isEmpty();
    }

    @Test
    void aRunWithTheWrongKernels_isToldFromARightOne() {
        TreeLayout binary = new BinaryLayout();
        assertThat(complaint("scalar", false, "why", false, binary)).isEmpty();
        assertThat(complaint("scalar", false, "why", true, binary)).contains("module");
        assertThat(complaint("scalar", true, "why", false, binary)).contains("vector kernels");
        assertThat(complaint("vector", false, "why", true, binary)).contains("scalar kernels");
        assertThat(complaint("vector", true, "why", true, binary)).contains("binary");
        assertThat(complaint("", false, "why", true, binary)).isEmpty();
        assertThat(complaint("both", true, "why", true, binary)).contains("both");
    }

    private static TreeLayout layoutOfTheLibrary() {
        return Bvh.build(TestMeshes.grid(1, 1), Task.silent()).choice().strategy().layout();
    }

    /** Returns what is wrong, or nothing. */
    private static String complaint(String run, boolean vectors, String reason, boolean module, TreeLayout layout) {
        return switch (run) {
            case "" -> "";
            case "scalar" -> vectors ? "the scalar run has the vector kernels" : module ? "the scalar run has the Vector API's module" : "";
            case "vector" -> !vectors
                    ? "the vector run has the scalar kernels: " + reason
                    : layout instanceof WideLayout ? "" : "the vector run takes " + layout + " trees";
            default -> KernelRun.PROPERTY + " = " + run + " must be scalar or vector";
        };
    }
}
