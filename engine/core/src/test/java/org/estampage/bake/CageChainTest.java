package org.estampage.bake;

import static org.assertj.core.api.Assertions.assertThat;

import java.io.IOException;
import java.nio.file.Path;
import java.util.Optional;
import org.estampage.cage.Cage;
import org.estampage.cage.CageFit;
import org.estampage.io.MeshFiles;
import org.estampage.lowpoly.Decimate;
import org.estampage.lowpoly.Lathe;
import org.estampage.maps.CoverageMap;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;
import org.estampage.testresources.Bollard;
import org.estampage.testresources.FetchedMeshes;
import org.estampage.testresources.OffReader;
import org.estampage.testresources.Shape;
import org.junit.jupiter.api.Test;

/** Fitted cages of whole objects are certified, and a bake through them misses nothing whose surface exists. */
class CageChainTest {
    private static final int SIZE = 512;

    /** Returns the mesh with each triangle in a cell of its own: what is sampled does not hang on an unwrapping. */
    private static Mesh scattered(Mesh mesh) {
        int count = mesh.triangleCount();
        int side = (int) Math.ceil(Math.sqrt(count));
        float[] uv = new float[6 * count];
        int[] corners = new int[3 * count];
        for (int c = 0; c < corners.length; c++) {
            int column = c / 3 % side, row = c / 3 / side;
            uv[2 * c] = (column + (c % 3 == 1 ? 0.9f : 0.1f)) / side;
            uv[2 * c + 1] = (row + (c % 3 == 2 ? 0.9f : 0.1f)) / side;
            corners[c] = c;
        }
        return mesh.toBuilder().noUvSets().normals(null).tangents(null).uvSet(new Attribute("uv", 2, uv, corners)).build();
    }

    private static Mesh of(Shape shape) {
        return Mesh.builder(shape.positions(), shape.triangles()).build();
    }

    private static Cage certified(Mesh low, Mesh high) {
        Cage cage = CageFit.around(low, high).build();
        assertThat(cage.conflicts()).isEmpty();
        assertThat(cage.findings()).noneMatch(f -> f.kind().equals("inverted-cage-prisms") || f.kind().equals("cage-self-crossings")
                || f.kind().equals("no-cage-direction") || f.kind().equals("cage-below-surface"));
        return cage;
    }

    private static long missed(Cage cage, Mesh high, double blend) {
        return Baker.create()
                .bake(BakeJob.of(cage, high).size(SIZE).padding(0).rayBlend(blend).maps(CoverageMap.create()).build(), Task.silent())
                .missedSampleCount();
    }

    @Test
    void elephantPair_isCertified_andMissesNothing() throws IOException {
        Optional<Path> plain = FetchedMeshes.elephant(), refined = FetchedMeshes.refinedElephant();
        if (plain.isPresent() && refined.isPresent()) {
            Mesh high = of(OffReader.read(refined.get()));
            Cage cage = certified(scattered(of(OffReader.read(plain.get()))), high);
            assertThat(missed(cage, high, 0)).isZero();
        }
    }

    @Test
    void bunnyDecimated_isCertified_andMissesItsHolesAlone() throws IOException {
        Optional<Path> path = FetchedMeshes.bunny();
        if (path.isPresent()) {
            Mesh high = MeshFiles.read(path.get(), Task.silent());
            Mesh low = scattered(Decimate.of(high).triangles(3000).build());
            Cage cage = certified(low, high);
            // rays that look for a tenth of the diagonal below the low poly miss as many: through holes, with no surface below
            long holes = missed(cage.withReach(0.1 * high.bounds().diagonal()), high, 0);
            assertThat(holes).isPositive();
            assertThat(missed(cage, high, 0)).isEqualTo(holes);
        }
    }

    @Test
    void bollardTurned_isCertified_andMissesNothing_alsoWithStraightenedRays() {
        Mesh high = of(Bollard.generate(60_000));
        Cage cage = certified(scattered(Lathe.around(high).sides(48).rings(12).capped().build()), high);
        assertThat(missed(cage, high, 0)).isZero();
        assertThat(missed(cage, high, 1)).isZero();
    }
}
