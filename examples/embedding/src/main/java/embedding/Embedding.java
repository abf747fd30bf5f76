package embedding;

import java.nio.file.Path;
import java.util.Arrays;
import org.estampage.bake.BakeJob;
import org.estampage.bake.BakeResult;
import org.estampage.bake.Baker;
import org.estampage.image.FloatImage;
import org.estampage.io.MeshFiles;
import org.estampage.maps.NormalMap;
import org.estampage.maps.OcclusionMap;
import org.estampage.task.Task;

/** Bakes two mesh files, the high poly first, and prints a hash of all the bits of each map. */
public final class Embedding {
    private Embedding() {
    }

    /** Takes the two paths. */
    public static void main(String[] arguments) throws Exception {
        Task task = Task.silent();
        BakeJob job = BakeJob.of(MeshFiles.read(Path.of(arguments[1]), task), MeshFiles.read(Path.of(arguments[0]), task)).size(96)
                .maps(NormalMap.create(), OcclusionMap.create(16)).build();
        BakeResult result = Baker.create().bake(job, task);
        for (String map : new String[] {"normal", "occlusion"}) {
            FloatImage image = result.map(map);
            System.out.println(map + " " + Arrays.hashCode(image.read(0, 0, 96, 96, new float[96 * 96 * image.channels()])));
        }
    }
}
