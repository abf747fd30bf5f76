package org.estampage.mesh;

import static org.assertj.core.api.Assertions.assertThat;
import static org.junit.jupiter.api.Assumptions.assumeTrue;

import java.io.IOException;
import java.nio.file.Path;
import java.util.Arrays;
import java.util.Optional;
import org.estampage.finding.Finding;
import org.estampage.io.MeshFiles;
import org.estampage.task.Task;
import org.estampage.testresources.DirtyShapes;
import org.estampage.testresources.FetchedMeshes;
import org.estampage.testresources.OffReader;
import org.estampage.testresources.Shape;
import org.junit.jupiter.api.Test;

/** Open meshes, with figures that the data themselves give. */
class CleanupReferenceTest {
    /**
     * The figures are counted from the file by its corners' coordinates alone, without this library: {@code 69451 34834 223 5} triangles, places, edges of
     * one triangle, and loops of them come from
     *
     * <pre>
     * python3 -c "
     * import struct, collections
     * d = open('test-resources/fetched/bunny.stl', 'rb').read(); ids = {}; n = struct.unpack_from('&lt;I', d, 80)[0]
     * ts = [[ids.setdefault(struct.unpack_from('&lt;3f', d, 96 + 50*i + 12*k), len(ids)) for k in range(3)] for i in range(n)]
     * count = collections.Counter(frozenset(e) for t in ts for e in zip(t, t[1:] + t[:1]))
     * b = [tuple(e) for e in count if count[e] == 1]; g = {v: v for e in b for v in e}
     * root = lambda v: v if g[v] == v else root(g[v])
     * for x, y in b: g[root(x)] = root(y)
     * print(n, len(ids), len(b), sum(g[v] == v for v in g))"
     * </pre>
     */
    @Test
    void unweldedBunny_keepsItsFiveHoles() throws IOException {
        Optional<Path> file = FetchedMeshes.bunny();
        assumeTrue(file.isPresent(), "not fetched");
        Mesh read = MeshFiles.read(file.get(), Task.silent());
        Shape unwelded = DirtyShapes.unwelded(new Shape(read.positions(), read.positionIndices()));
        Mesh clean = Cleanup.of(CleanupTest.mesh(unwelded)).build();
        assertThat(clean.triangleCount()).isEqualTo(69451);
        assertThat(clean.vertexCount()).isEqualTo(34834);
        assertThat(CleanupTest.borders(clean)).isEqualTo(223);
        assertThat(holes(clean)).isEqualTo(5);
        assertThat(clean.findings().stream().map(Finding::kind)).containsExactly("vertices-welded");
        assertThat(clean.findings().get(0).count()).isEqualTo(3 * 69451 - 34834);
    }

    @Test
    void elephants_areCleanAlready() throws IOException {
        for (Optional<Path> file : Arrays.asList(FetchedMeshes.elephant(), FetchedMeshes.refinedElephant())) {
            assumeTrue(file.isPresent(), "not fetched");
            Mesh elephant = CleanupTest.mesh(OffReader.read(file.get()));
            assertThat(Cleanup.of(elephant).build()).isSameAs(elephant);
            assertThat(Cleanup.of(CleanupTest.mesh(DirtyShapes.unwelded(OffReader.read(file.get())))).build().vertexCount())
                    .isEqualTo(elephant.vertexCount());
        }
    }

    /** Counts loops of open edges, of which each vertex has at most one that leaves it. */
    private static int holes(Mesh mesh) {
        Adjacency own = CleanupTest.own(mesh);
        int[] next = new int[mesh.vertexCount()];
        Arrays.fill(next, -1);
        for (int e = 0; e < own.edgeCount(); e++) {
            if (own.opposite(e) == Adjacency.BOUNDARY) {
                assertThat(next[own.vertex(e)]).isEqualTo(-1);
                next[own.vertex(e)] = own.vertex(Adjacency.next(e));
            }
        }
        int holes = 0;
        for (int v = 0; v < next.length; v++) {
            holes += next[v] >= 0 ? 1 : 0;
            for (int w = v; next[w] >= 0;) {
                int after = next[w];
                next[w] = -1;
                w = after;
            }
        }
        return holes;
    }
}
