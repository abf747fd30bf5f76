package org.estampage.uv;

import static org.assertj.core.api.Assertions.assertThat;

import java.io.IOException;
import java.nio.file.Path;
import java.util.Optional;
import java.util.stream.IntStream;
import org.estampage.mesh.Mesh;
import org.estampage.testresources.FetchedMeshes;
import org.estampage.testresources.OffReader;
import org.estampage.testresources.Shapes;
import org.junit.jupiter.api.Assumptions;
import org.junit.jupiter.api.Test;

class DiskCutTest {
    private static Piece cut(Mesh mesh, int loops, int handles) {
        Surface surface = Surface.of(mesh);
        Seams seams = new Seams(surface);
        int[] all = IntStream.range(0, mesh.triangleCount()).toArray();
        Piece whole = seams.piece(all);
        assertThat(whole.loopCount()).isEqualTo(loops);
        assertThat(whole.handles()).isEqualTo(handles);
        new DiskCut(seams).cut(whole);
        assertThat(seams.components(all)).hasNumberOfRows(1);
        return seams.piece(all);
    }

    @Test
    void cut_ofClosedSurfaces_givesDisks() {
        assertThat(cut(UvOracle.mesh(Shapes.icosphere(1, 3)), 0, 0).disk()).isTrue();
        assertThat(cut(UvOracle.mesh(Shapes.torus(2, 0.7, 24, 12)), 0, 1).disk()).isTrue();
    }

    @Test
    void cut_ofTorus_isTheShortestPairOfLoops() {
        // A loop across (12 edges) and one around the inside (24 edges): 36 edges, each twice on the border.
        Piece torus = cut(UvOracle.mesh(Shapes.torus(2, 0.7, 24, 12)), 0, 1);
        assertThat(torus.loop).hasSize(2 * (12 + 24));
    }

    @Test
    void cut_ofSurfaceWithHoles_joinsThem() {
        // A tube is an annulus: one way from end to end.
        Mesh prism = UvOracle.mesh(Shapes.prism(16, 1, 2));
        int[] side = IntStream.range(0, 32).toArray();
        Seams seams = new Seams(Surface.of(prism));
        Piece tube = seams.piece(side);
        assertThat(tube.loopCount()).isEqualTo(2);
        new DiskCut(seams).cut(tube);
        Piece opened = seams.piece(side);
        assertThat(opened.disk()).isTrue();
        assertThat(opened.loop).hasSize(2 * 16 + 2);
    }

    @Test
    void cut_ofElephant_opensItsThreeHandles() throws IOException {
        Optional<Path> file = FetchedMeshes.elephant();
        Assumptions.assumeTrue(file.isPresent());
        // The mesh's own description: closed, three handles.
        assertThat(cut(UvOracle.mesh(OffReader.read(file.get())), 0, 3).disk()).isTrue();
    }
}
