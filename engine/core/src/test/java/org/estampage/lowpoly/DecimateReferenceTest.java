package org.estampage.lowpoly;

import static org.assertj.core.api.Assertions.assertThat;
import static org.estampage.lowpoly.LowPolyShapes.blindVertices;
import static org.estampage.lowpoly.LowPolyShapes.eulerCharacteristic;
import static org.estampage.lowpoly.LowPolyShapes.mesh;
import static org.estampage.lowpoly.LowPolyShapes.nonManifoldEdges;
import static org.junit.jupiter.api.Assumptions.assumeTrue;

import java.io.IOException;
import java.nio.FloatBuffer;
import java.nio.IntBuffer;
import java.nio.file.Path;
import java.util.Locale;
import java.util.Optional;
import org.estampage.bvh.Bvh;
import org.estampage.io.MeshFiles;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;
import org.estampage.testresources.FetchedMeshes;
import org.estampage.testresources.OffReader;
import org.junit.jupiter.api.Test;
import org.lwjgl.system.MemoryUtil;
import org.lwjgl.util.meshoptimizer.MeshOptimizer;

/**
 * Against a native reference: meshoptimizer (MIT licence), as Maven's {@code org.lwjgl:lwjgl-meshoptimizer} brings it. Both get the same triangles and the
 * same number to reach; both are measured in the same way.
 */
class DecimateReferenceTest {
    private static final int POINTS = 100_000;

    @Test
    void elephant_isCloserThanTheReference() throws IOException {
        Optional<Path> file = FetchedMeshes.refinedElephant();
        assumeTrue(file.isPresent(), "not fetched");
        Mesh high = mesh(OffReader.read(file.get()));
        Mesh low = compare(high, 5558);
        assertThat(eulerCharacteristic(low)).isEqualTo(eulerCharacteristic(high)).isEqualTo(-4); // genus 3
    }

    @Test
    void bunny_isCloserThanTheReference() throws IOException {
        Optional<Path> file = FetchedMeshes.bunny();
        assumeTrue(file.isPresent(), "not fetched");
        Mesh high = MeshFiles.read(file.get(), Task.silent());
        Mesh low = compare(high, 3000);
        assertThat(eulerCharacteristic(low)).isEqualTo(eulerCharacteristic(high)); // its five holes stay
    }

    private static Mesh compare(Mesh high, int triangles) {
        long start = System.nanoTime();
        Mesh ours = Decimate.of(high).triangles(triangles).build();
        double ourSeconds = (System.nanoTime() - start) * 1e-9;
        start = System.nanoTime();
        Mesh theirs = reference(high, triangles);
        double theirSeconds = (System.nanoTime() - start) * 1e-9;
        Bvh tracer = Bvh.build(high, Task.silent());
        SurfaceDistance[] our = {SurfaceDistance.between(high, ours, POINTS, Task.silent()),
                SurfaceDistance.between(ours, high, tracer, POINTS, Task.silent())};
        SurfaceDistance[] their = {SurfaceDistance.between(high, theirs, POINTS, Task.silent()),
                SurfaceDistance.between(theirs, high, tracer, POINTS, Task.silent())};
        String measured = String.format(Locale.ROOT, "ours: %d triangles, mean %.3e and %.3e, largest %.3e and %.3e, %.2f s; "
                + "reference: %d triangles, mean %.3e and %.3e, largest %.3e and %.3e, %.2f s; fractions of the diagonal",
                ours.triangleCount(),
                our[0].mean() / high.bounds().diagonal(), our[1].mean() / high.bounds().diagonal(),
                our[0].largest() / high.bounds().diagonal(), our[1].largest() / high.bounds().diagonal(), ourSeconds,
                theirs.triangleCount(),
                their[0].mean() / high.bounds().diagonal(), their[1].mean() / high.bounds().diagonal(),
                their[0].largest() / high.bounds().diagonal(), their[1].largest() / high.bounds().diagonal(), theirSeconds);
        System.getLogger(DecimateReferenceTest.class.getName()).log(System.Logger.Level.INFO, measured);
        assertThat(ours.triangleCount()).as(measured).isLessThanOrEqualTo(triangles).isGreaterThanOrEqualTo(triangles - 1);
        assertThat(theirs.triangleCount()).as(measured).isLessThanOrEqualTo(triangles);
        // Both ways; the reference may stop a few triangles earlier or later, which moves means by less than a thousandth.
        assertThat(our[0].mean()).as(measured).isLessThanOrEqualTo(their[0].mean());
        assertThat(our[1].mean()).as(measured).isLessThanOrEqualTo(their[1].mean());
        // Neither aims at the largest distance. Half as much again as the reference's would be a step back.
        assertThat(SurfaceDistance.worseOf(our[0], our[1]).largest()).as(measured)
                .isLessThanOrEqualTo(1.5 * SurfaceDistance.worseOf(their[0], their[1]).largest());
        assertThat(nonManifoldEdges(ours)).isZero();
        assertThat(blindVertices(ours)).isZero();
        return ours;
    }

    /** Decimates by the reference, as a user would: no error limit, no options. */
    private static Mesh reference(Mesh high, int triangles) {
        int[] indices = high.positionIndices();
        float[] positions = high.positions();
        IntBuffer in = MemoryUtil.memAllocInt(indices.length);
        IntBuffer out = MemoryUtil.memAllocInt(indices.length);
        FloatBuffer xyz = MemoryUtil.memAllocFloat(positions.length);
        try {
            in.put(indices).flip();
            xyz.put(positions).flip();
            long count = MeshOptimizer.meshopt_simplify(out, in, xyz, high.vertexCount(), 3L * Float.BYTES, 3L * triangles, 1e30f, 0, null);
            int[] kept = new int[(int) count];
            out.get(0, kept);
            return Mesh.builder(positions, kept).name("reference").build();
        } finally {
            MemoryUtil.memFree(in);
            MemoryUtil.memFree(out);
            MemoryUtil.memFree(xyz);
        }
    }
}
