package org.estampage.examples.editor.model;

import static org.assertj.core.api.Assertions.assertThat;

import java.nio.file.Path;
import java.util.List;
import org.estampage.bake.BakeJob;
import org.estampage.bake.BakeResult;
import org.estampage.bake.BakedTile;
import org.estampage.bake.Baker;
import org.estampage.examples.editor.view.BollardFiles;
import org.estampage.image.FloatImage;
import org.estampage.io.MeshFiles;
import org.estampage.maps.NormalMap;
import org.estampage.task.Task;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** Maps while they come about, against the bake's own. */
class LiveMapsTest {
    @Test
    void blocksOfSeveralTiles_stayApart_andAreTheBakesTexels(@TempDir Path folder) throws Exception {
        BollardFiles files = BollardFiles.in(folder, 5_000);
        NormalMap normal = NormalMap.create();
        LiveMaps live = new LiveMaps(96, List.of(1001, 1002), List.of(normal));
        BakeJob job = BakeJob.of(MeshFiles.read(files.tiled(), Task.silent()), MeshFiles.read(files.high(), Task.silent())).udim()
                .size(96).samples(1).padding(0).maps(normal).build();
        BakeResult result = Baker.create().blocks(live).bake(job, Task.silent());
        assertThat(result.tiles()).extracting(BakedTile::number).containsExactly(1001, 1002);
        for (BakedTile tile : result.tiles()) {
            assertThat(tile.hit().count()).as("texels of %s", tile.tile()).isGreaterThan(500);
            assertSame(live.map(tile.number(), "normal"), tile);
        }
    }

    private static void assertSame(LiveMap map, BakedTile tile) {
        FloatImage baked = tile.map("normal");
        boolean[] there = new boolean[map.side()];
        float[] values = new float[map.side() * map.channels()];
        for (int y = 0; y < map.side(); y++) {
            map.readRow(y, there, values);
            for (int x = 0; x < map.side(); x++) {
                assertThat(there[x]).isEqualTo(tile.hit().get(x, y));
                for (int k = 0; k < map.channels() && there[x]; k++) {
                    assertThat(values[x * map.channels() + k]).isEqualTo(baked.get(x, y, k));
                }
            }
        }
    }
}
