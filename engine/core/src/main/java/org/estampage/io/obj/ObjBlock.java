package org.estampage.io.obj;

import java.util.List;
import java.util.Map;
import org.estampage.io.format.FormatException;
import org.estampage.io.shared.IntList;
import org.jspecify.annotations.Nullable;

/**
 * What a run of whole lines of an OBJ file says, in numbers of its own: lines, vertices and faces count from the run's start. Runs can be read in
 * any order; what depends on the runs before is settled when they are put together.
 *
 * @shape positions, colours and normals: 3 floats an entry, uvs: 2; corners: a reference a face corner; sizes: corners a face, null when all have 3
 */
final class ObjBlock {
    /** A corner without a UV or a normal. */
    static final int NONE = Integer.MIN_VALUE;
    /** References below 0 (but {@link #NONE}) are relative to the run's start: this much below it. */
    static final int RELATIVE = 1 << 30;

    /** A statement that holds for the faces after it. */
    enum Statement {
        OBJECT, GROUP, SMOOTHING, MATERIAL, LIBRARY
    }

    /** What was noticed. */
    enum Notice {
        LINE_OR_POINT, SMALL_FACE, VERTEX_WEIGHT, EXTRA_VALUES, UNKNOWN
    }

    /** A statement before face {@code face}. */
    record Event(Statement statement, int face, int line, String text) {
    }

    /** A notice; its first lines stand for all when there are many. */
    record Noticed(Notice notice, int line, String text) {
    }

    /** Why the run could not be read; it ends there. */
    record Problem(int line, String found, String expected) {
        FormatException at(String source, long firstLine) {
            return FormatException.atLine(source, firstLine + line, found, expected);
        }
    }

    int lineCount;
    int faceCount;
    float[] positions = {};
    float @Nullable [] colours;
    float[] uvs = {};
    float[] normals = {};
    int[] cornerPositions = {};
    int @Nullable [] cornerUvs;
    int @Nullable [] cornerNormals;
    int @Nullable [] sizes;
    List<Event> events = List.of();
    List<Noticed> noticed = List.of();
    Map<Notice, Long> noticeCounts = Map.of();
    @Nullable
    Problem problem;
    /** The faces whose line is not the one after their predecessor's, and their lines. */
    IntList jumpFaces = new IntList(1);
    IntList jumpLines = new IntList(1);

    /** Returns the line of a face. */
    int lineOf(int face) {
        int run = jumpFaces.size() - 1;
        while (run > 0 && jumpFaces.get(run) > face) {
            run--;
        }
        return jumpLines.get(run) + face - jumpFaces.get(run);
    }

    /** Returns an estimate of the bytes it takes. */
    long bytes() {
        long elements = (long) positions.length + uvs.length + normals.length + cornerPositions.length;
        elements += length(colours) + length(cornerUvs) + length(cornerNormals) + length(sizes);
        return 4 * elements + 64L * events.size();
    }

    private static int length(float @Nullable [] array) {
        return array == null ? 0 : array.length;
    }

    private static int length(int @Nullable [] array) {
        return array == null ? 0 : array.length;
    }
}
