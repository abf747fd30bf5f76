package org.estampage.session;

import static org.assertj.core.api.Assertions.assertThat;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import org.estampage.bake.BakeJob;
import org.estampage.bake.BakeResult;
import org.estampage.bake.Baker;
import org.estampage.cage.Cage;
import org.estampage.cage.CageFit;
import org.estampage.handover.Delivery;
import org.estampage.handover.MapFileOptions;
import org.estampage.maps.HeightMap;
import org.estampage.maps.NormalMap;
import org.estampage.mesh.Mesh;
import org.estampage.report.Report;
import org.estampage.report.ReportOptions;
import org.estampage.task.Task;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** From a bake on: cages, maps, files. */
class RecallTest {
    @TempDir
    Path folder;
    private Cache cache;
    private final Mesh low = Meshes.waves(2);
    private final Mesh high = Meshes.waves(10);

    @BeforeEach
    void begin() {
        cache = Cache.in(folder.resolve("cache"));
    }

    private Task task() {
        return Task.silent().recalling(Keeper.of(cache, "one", 0));
    }

    @Test
    void fittedCage_comesFromBefore_onTheLowPolyThatIsThere() {
        Cage first = CageFit.around(low, high).task(task()).build();
        Cage second = CageFit.around(low, high).task(task()).build();
        assertThat(cache.hits()).isEqualTo(1);
        assertThat(second.low()).isSameAs(low);
        assertThat(second.positions()).isEqualTo(first.positions());
        assertThat(second.reaches()).isEqualTo(first.reaches());
        assertThat(second.directions()).isEqualTo(first.directions());
        assertThat(second.findings()).isEqualTo(first.findings());
        assertThat(second.conflicts()).isEqualTo(first.conflicts());
    }

    private BakeResult bake() {
        return Baker.create().threads(1).bake(BakeJob.of(low, high).size(32).maps(NormalMap.create(), HeightMap.create()).build(), Task.silent());
    }

    @Test
    void writtenMaps_areTheSameBytes_andComeFromBefore() throws IOException {
        BakeResult result = bake();
        Delivery first = Delivery.write(result, folder.resolve("first/waves"), MapFileOptions.USUAL, java.util.Map.of(), task());
        assertThat(cache.hits()).isZero();
        Delivery second = Delivery.write(result, folder.resolve("second/waves"), MapFileOptions.USUAL, java.util.Map.of(), task());
        assertThat(cache.hits()).isEqualTo(2);
        for (int i = 0; i < first.files().size(); i++) {
            assertThat(second.files().get(i)).hasSameBinaryContentAs(first.files().get(i));
        }
        Delivery.write(result, folder.resolve("third/waves"), MapFileOptions.USUAL.withGreenDown(), java.util.Map.of(), task());
        assertThat(cache.hits()).as("only the heights are the same").isEqualTo(3);
    }

    @Test
    void report_comesFromBefore_byWhatTheBakeIs() throws IOException {
        Report.write(bake(), folder.resolve("a.html"), ReportOptions.USUAL, task());
        long hits = cache.hits();
        Report.write(bake(), folder.resolve("b.html"), ReportOptions.USUAL, task()); // another bake of the same job
        assertThat(cache.hits()).isGreaterThan(hits);
        assertThat(folder.resolve("b.html")).hasSameBinaryContentAs(folder.resolve("a.html"));
        Report.write(bake(), folder.resolve("c.html"), ReportOptions.USUAL.withTexels(16), task());
        assertThat(Files.readAllBytes(folder.resolve("c.html"))).isNotEqualTo(Files.readAllBytes(folder.resolve("a.html")));
    }
}
