package org.estampage.io.shared;

import org.jspecify.annotations.Nullable;

/**
 * A number that holds for all faces from one on until it changes: which part, which material, which smoothing group.
 *
 * @threads confined to one thread at a time
 */
public final class LabelRuns {
    private final IntList starts = new IntList(4);
    private final IntList numbers = new IntList(4);

    /** Begins with a number for face 0. */
    public LabelRuns(int number) {
        starts.add(0);
        numbers.add(number);
    }

    /** Says the number from {@code face} on; faces are named in rising order. */
    public void set(int face, int number) {
        int last = starts.size() - 1;
        if (starts.get(last) == face) {
            starts.truncate(last);
            numbers.truncate(last);
            last--;
        }
        if (last < 0 || numbers.get(last) != number) {
            starts.add(face);
            numbers.add(number);
        }
    }

    /** Returns the number of runs. */
    public int count() {
        return starts.size();
    }

    /** Returns a run's first face. */
    public int start(int run) {
        return starts.get(run);
    }

    /** Returns a run's number. */
    public int number(int run) {
        return numbers.get(run);
    }

    /** Returns a run's end, of {@code faceCount} faces in all. */
    public int end(int run, int faceCount) {
        return run + 1 < starts.size() ? starts.get(run + 1) : faceCount;
    }

    /**
     * Returns the numbers by triangle.
     *
     * @param renumber what each number becomes; null when it stays
     */
    public int[] spread(PolygonTriangles triangles, int faceCount, int @Nullable [] renumber) {
        int[] result = new int[triangles.firstTriangle(faceCount)];
        for (int run = 0; run < starts.size(); run++) {
            int number = numbers.get(run);
            java.util.Arrays.fill(result, triangles.firstTriangle(starts.get(run)), triangles.firstTriangle(end(run, faceCount)),
                    renumber == null || number < 0 ? number : renumber[number]);
        }
        return result;
    }
}
