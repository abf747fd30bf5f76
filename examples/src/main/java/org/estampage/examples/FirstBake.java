package org.estampage.examples;

import java.io.IOException;
import java.nio.file.Path;
import java.util.Map;
import org.estampage.bake.BakeJob;
import org.estampage.bake.BakeResult;
import org.estampage.bake.Baker;
import org.estampage.handover.Delivery;
import org.estampage.handover.MapFileOptions;

import org.estampage.io.MeshFiles;
import org.estampage.maps.NormalMap;
import org.estampage.maps.OcclusionMap;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;

/** The shortest way from two mesh files to maps in a program of one's own. */
public final class FirstBake {
    private FirstBake() {
    }

    /** Bakes {@code high} onto {@code low} and writes {@code maps/thing-normal.png} {@code maps/thing-occlusion.png} and their manifest in {@code folder}. */
    public static BakeResult bake(Path high, Path low, Path folder) throws IOException {
        // README shows these lines.
        Task task = Task.reporting((stage, done, total) -> {
            // show it to the user; task.cancellation().cancel() from any thread stops the bake
        });
        Mesh sculpt = MeshFiles.read(high, task);
        Mesh game = MeshFiles.read(low, task);
        BakeJob job = BakeJob.of(game, sculpt).size(512).maps(NormalMap.create(), OcclusionMap.create(16)).build();
        BakeResult result = Baker.create().bake(job, task);
        Delivery.write(result, folder.resolve("maps/thing"), MapFileOptions.USUAL, Map.of("high", high, "low", low), task);
        return result;
    }
}
