package org.estampage.benchmarks;

import java.util.List;
import java.util.function.Function;
import org.estampage.bvh.BinaryLayout;
import org.estampage.bvh.BinnedSahBuilder;
import org.estampage.bvh.Bvh;
import org.estampage.bvh.RayTracer;
import org.estampage.bvh.Strategy;
import org.estampage.bvh.TreeBuilder;
import org.estampage.bvh.TreeLayout;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;

/**
 * One of the engine's ways to answer ray queries, to be compared with the others and with the native reference.
 *
 * @param name    how it is called in arguments and tables
 * @param builder builds a tracer of all triangles
 */
record Contender(String name, Function<Mesh, RayTracer> builder) {
    /** The name of the engine's own choice. */
    static final String USUAL = "usual";
    /** All of them; a new one is one line here. */
    static final List<Contender> ALL = List.of( //
            new Contender(USUAL, mesh -> Bvh.build(mesh, Task.silent())), //
            of("sah-binary", new BinnedSahBuilder(), new BinaryLayout()));

    private static Contender of(String name, TreeBuilder builder, TreeLayout layout) {
        return new Contender(name, mesh -> Bvh.build(mesh, new Strategy(builder, layout), Task.silent()));
    }

    RayTracer build(Mesh mesh) {
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
