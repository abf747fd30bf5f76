package org.estampage.examples.editor.view;

import java.io.IOException;
import java.nio.file.Path;
import java.util.Arrays;
import java.util.Objects;
import org.estampage.io.MeshFiles;
import org.estampage.lowpoly.Lathe;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.Normals;
import org.estampage.task.Task;
import org.estampage.testresources.Bollard;
import org.estampage.testresources.Shape;

/**
 * A small bollard as files.
 *
 * @param low   the low poly
 * @param tiled the low poly with half of its triangles on UDIM tile 1002
 * @param high  the high poly
 */
public record BollardFiles(Path low, Path tiled, Path high) {
    /** Writes the files. */
    public static BollardFiles in(Path folder, int triangles) throws IOException {
        Shape shape = Bollard.generate(triangles);
        byte[] painted = Objects.requireNonNull(shape.colours());
        float[] colours = new float[painted.length];
        for (int i = 0; i < colours.length; i++) {
            colours[i] = (painted[i] & 0xFF) / 255f;
        }
        Mesh high = Normals.smooth(Mesh.builder(shape.positions(), shape.triangles()).name("bollard")
                .colourSet(new Attribute("paint", 3, colours, shape.triangles(), Attribute.Storage.UNIT_BYTE)).build());
        Mesh low = Lathe.around(high).sides(24).rings(8).capped().size(512).build();
        BollardFiles files = new BollardFiles(folder.resolve("bollard-low.obj"), folder.resolve("bollard-tiled.obj"),
                folder.resolve("bollard.ply"));
        MeshFiles.write(high, files.high, Task.silent());
        MeshFiles.write(low, files.low, Task.silent());
        MeshFiles.write(tiled(low), files.tiled, Task.silent());
        return files;
    }

    private static Mesh tiled(Mesh low) {
        Attribute uvs = low.uvSets().getFirst();
        float[] values = Arrays.copyOf(uvs.values(), 2 * uvs.values().length);
        int[] indices = uvs.indices().clone();
        int count = uvs.values().length / 2;
        for (int i = 0; i < count; i++) {
            values[2 * (count + i)] = values[2 * i] + 1;
            values[2 * (count + i) + 1] = values[2 * i + 1];
        }
        for (int corner = indices.length / 6 * 3; corner < indices.length; corner++) {
            indices[corner] += count;
        }
        return Mesh.builder(low.positions(), low.positionIndices()).uvSet(new Attribute(uvs.name(), 2, values, indices, uvs.storage()))
                .normals(low.normals().orElseThrow()).build();
    }
}
