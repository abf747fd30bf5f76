package org.estampage.io.stl;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.util.List;
import java.util.Locale;
import java.util.Objects;
import org.estampage.finding.Findings;
import org.estampage.io.format.MeshFormat;
import org.estampage.io.shared.BinaryInput;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;

/**
 * The STL format. Text and binary files are read by the same object; the two objects differ in what they write.
 *
 * <p>A file of exactly 84 + 50n bytes, n being the number at byte 80, is binary, even when it begins with "solid". STL repeats positions for every
 * facet; corners at exactly equal positions become one vertex (−0 and 0 are equal, and read as 0), so that the surface is connected. Vertices are
 * numbered in the order they first come. The solids of a text file are parts; those of equal names are one, those without a name are named like
 * the file.
 *
 * @edge a facet normal that points to the back of its triangle is a finding: the order of the corners counts
 * @threads stateless, safe for concurrent calls
 * @source 3D Systems, "StereoLithography Interface Specification", 1988 (from memory)
 */
public final class StlFormat implements MeshFormat {
    static final int HEADER = 84;
    static final int FACET = 50;

    private final boolean ascii;

    private StlFormat(boolean ascii) {
        this.ascii = ascii;
    }

    /** Returns the format that writes binary files. */
    public static StlFormat binary() {
        return new StlFormat(false);
    }

    /** Returns the format that writes text, with a solid for each part. */
    public static StlFormat ascii() {
        return new StlFormat(true);
    }

    @Override
    public String name() {
        return "STL";
    }

    @Override
    public List<String> endings() {
        return List.of("stl");
    }

    @Override
    public boolean recognises(byte[] head, long size) {
        return isExactlyBinary(head, size) || isText(head, size);
    }

    private static boolean isExactlyBinary(byte[] head, long size) {
        return head.length >= HEADER && HEADER + FACET * (BinaryInput.intAt(head, HEADER - 4) & 0xffff_ffffL) == size;
    }

    /** Whether it begins with "solid", goes on with a keyword of the text form, and is no binary file by its size. */
    static boolean isText(byte[] head, long size) {
        if (isExactlyBinary(head, size)) {
            return false;
        }
        String text = new String(head, StandardCharsets.ISO_8859_1).toLowerCase(Locale.ROOT).stripLeading();
        return text.startsWith("solid") && (text.contains("facet") || text.contains("endsolid"));
    }

    @Override
    public Mesh read(Path path, Task task) throws IOException {
        return StlReader.read(Objects.requireNonNull(path, "path"), Objects.requireNonNull(task, "task"));
    }

    @Override
    public Findings write(Mesh mesh, Path path, Task task) throws IOException {
        return StlWriter.write(Objects.requireNonNull(mesh, "mesh"), ascii, Objects.requireNonNull(path, "path"),
                Objects.requireNonNull(task, "task"));
    }
}
