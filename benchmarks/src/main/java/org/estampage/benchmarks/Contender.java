package org.estampage.benchmarks;

import java.util.ArrayList;
import java.util.List;
import java.util.function.Function;
import org.estampage.bvh.AgglomerativeBuilder;
import org.estampage.bvh.BinaryLayout;
import org.estampage.bvh.BinnedSahBuilder;
import org.estampage.bvh.Bvh;
import org.estampage.bvh.MortonBuilder;
import org.estampage.bvh.Strategy;
import org.estampage.bvh.StrategyChoice;
import org.estampage.bvh.TreeBuilder;
import org.estampage.bvh.TreeLayout;
import org.estampage.bvh.WideLayout;
import org.estampage.internal.kernel.Kernels;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;

/**
 * One of the engine's ways to answer ray queries, to be compared with the others and with the native reference.
 *
 * @param name    how it is called in arguments and tables
 * @param builder builds a tracer of all triangles
 */
record Contender(String name, Function<Mesh, Bvh> builder) {
    /** The name of the engine's own choice. */
    static final String USUAL = "usual";
    /** All that work in this JVM. */
    static final List<Contender> ALL = all();

    /** Returns all; a new one is one line here. */
    private static List<Contender> all() {
        List<Contender> all = new ArrayList<>();
        all.add(new Contender(USUAL, mesh -> Bvh.build(mesh, Task.silent())));
        all.add(of("sah-binary", new BinnedSahBuilder(), new BinaryLayout()));
        for (int lanes = 8; lanes <= Kernels.lanes(); lanes *= 2) {
            all.add(of("sah-wide" + lanes, new BinnedSahBuilder(), WideLayout.of(lanes)));
        }
        if (Kernels.areVectors()) {
            all.add(of("sah-wide" + Kernels.lanes() + "-alone", new BinnedSahBuilder(), WideLayout.of(Kernels.lanes()).raysTogether(1)));
        }
        // Other builders with the layout that the engine takes here: trees are compared by the same walk.
        TreeLayout layout = StrategyChoice.of(Integer.MAX_VALUE, Long.MAX_VALUE).strategy().layout();
        all.add(of("agglomerative", new AgglomerativeBuilder(), layout));
        all.add(of("morton", new MortonBuilder(), layout));
        return List.copyOf(all);
    }

    private static Contender of(String name, TreeBuilder builder, TreeLayout layout) {
        return new Contender(name, mesh -> Bvh.build(mesh, new Strategy(builder, layout), Task.silent()));
    }

    Bvh build(Mesh mesh) {
        return builder.apply(mesh);
    }

    /**
     * Returns the contender of a name.
     *
     * @throws IllegalArgumentException if there is none
     */
    static Contender named(String name) {
        return ALL.stream().filter(contender -> contender.name.equals(name)).findFirst().orElseThrow(() -> new IllegalArgumentException(
                "strategy " + name + " must be one of " + String.join(", ", ALL.stream().map(Contender::name).toList())));
    }
}
