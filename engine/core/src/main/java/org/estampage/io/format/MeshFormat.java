package org.estampage.io.format;

import java.io.IOException;
import java.nio.file.Path;
import java.util.List;
import org.estampage.finding.Findings;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;

/**
 * A file format that meshes are read from and written to. A new format is one class that implements this, and one entry in {@link org.estampage.io.MeshFiles}.
 *
 * @threads implementations are stateless and safe for concurrent calls
 */
public interface MeshFormat {
    /** The number of bytes that {@link #recognises} is given, when the file has so many. */
    int HEAD_LENGTH = 4096;

    /** Returns the format's short name, such as {@code PLY}. */
    String name();

    /** Returns the file endings, lower case without the dot; the first one is the usual one. */
    List<String> endings();

    /**
     * Returns whether a file is of this format by what it holds, whatever it is called.
     *
     * @param head the file's first bytes, at most {@value #HEAD_LENGTH}; not to be changed
     * @param size the file's size
     */
    boolean recognises(byte[] head, long size);

    /**
     * Reads a mesh: its vertices and faces in the file's order, its oddities as findings.
     *
     * @throws FormatException                            if the file holds something that the format does not allow
     * @throws IOException                                if it is missing, can't be read, or needs more memory than the task may take
     * @throws java.util.concurrent.CancellationException if the task was cancelled
     */
    Mesh read(Path path, Task task) throws IOException;

    /**
     * Writes a mesh, whole or not at all; missing folders are made.
     *
     * @return what of the mesh the format can't carry, or not in that form
     * @throws IOException                                if writing fails
     * @throws java.util.concurrent.CancellationException if the task was cancelled; nothing is left then
     */
    Findings write(Mesh mesh, Path path, Task task) throws IOException;
}
