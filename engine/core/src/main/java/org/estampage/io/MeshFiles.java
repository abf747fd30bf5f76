package org.estampage.io;

import org.estampage.io.format.MeshFormat;
import org.estampage.io.format.FormatException;
import java.io.IOException;
import java.io.InputStream;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.Objects;
import java.util.stream.Collectors;
import org.estampage.finding.Findings;
import org.estampage.io.gltf.GltfFormat;
import org.estampage.io.obj.ObjFormat;
import org.estampage.io.ply.PlyFormat;
import org.estampage.io.shared.FileSource;
import org.estampage.io.stl.StlFormat;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;
import org.jspecify.annotations.Nullable;

/**
 * Reads and writes meshes in any format known here: reading goes by what the file holds, then by its ending; writing by the ending.
 *
 * @threads safe for concurrent calls
 */
public final class MeshFiles {
    /** In the order they are asked; those with a sure mark come first. */
    private static final List<MeshFormat> FORMATS = List.of(PlyFormat.binary(), new GltfFormat(), StlFormat.binary(), new ObjFormat());

    private MeshFiles() {
    }

    /** Returns the formats. */
    public static List<MeshFormat> formats() {
        return FORMATS;
    }

    /**
     * Reads a mesh.
     *
     * @throws FormatException                            if no format fits, or the file holds what its format does not allow
     * @throws IOException                                if the file is missing or can't be read
     * @throws java.util.concurrent.CancellationException if the task was cancelled
     */
    public static Mesh read(Path path, Task task) throws IOException {
        Objects.requireNonNull(path, "path");
        Objects.requireNonNull(task, "task");
        FileSource.checkReadable(path);
        byte[] head;
        try (InputStream in = Files.newInputStream(path)) {
            head = in.readNBytes(MeshFormat.HEAD_LENGTH);
        }
        long size = Files.size(path);
        MeshFormat format = null;
        for (MeshFormat candidate : FORMATS) {
            if (candidate.recognises(head, size)) {
                format = candidate;
                break;
            }
        }
        if (format == null) {
            format = byEnding(path);
        }
        if (format == null) {
            throw FormatException.ofFile(FileSource.name(path),
                    size == 0 ? "is empty: export the mesh again" : "is not a mesh file known here: use one of " + names());
        }
        return format.read(path, task);
    }

    /**
     * Writes a mesh in the format that the ending names.
     *
     * @return what of the mesh the format can't carry, or not in that form
     * @throws IllegalArgumentException                   if no format has that ending; nothing is written then
     * @throws IOException                                if writing fails
     * @throws java.util.concurrent.CancellationException if the task was cancelled; nothing is left then
     */
    public static Findings write(Mesh mesh, Path path, Task task) throws IOException {
        Objects.requireNonNull(mesh, "mesh");
        Objects.requireNonNull(task, "task");
        MeshFormat format = byEnding(path);
        if (format == null) {
            throw Endings.unknown(path, "a mesh", names());
        }
        return format.write(mesh, path, task);
    }

    private static @Nullable MeshFormat byEnding(Path path) {
        String ending = Endings.of(path);
        for (MeshFormat format : FORMATS) {
            if (format.endings().contains(ending)) {
                return format;
            }
        }
        return null;
    }

    private static String names() {
        return FORMATS.stream().map(f -> f.name() + " (." + String.join(", .", f.endings()) + ")").collect(Collectors.joining(", "));
    }
}
