package org.estampage.uv;

import java.util.Arrays;

/** UVs of triangles that get no place in a chart: a point. */
final class Points {
    private Points() {
    }

    /**
     * Gives some triangles one point each: a corner of a chart at their place if there is one, otherwise a spare entry.
     *
     * @param corner      the welded vertex at each corner
     * @param vertexCount how many vertices there are
     * @param without     the triangles without a place
     * @param indices     entries a corner, −1 for those that have none; filled in
     * @param spare       the number of the spare entry
     * @return whether the spare entry is needed
     */
    static boolean give(int[] corner, int vertexCount, boolean[] without, int[] indices, int spare) {
        int[] entryAt = new int[vertexCount];
        Arrays.fill(entryAt, -1);
        for (int c = 0; c < indices.length; c++) {
            if (indices[c] >= 0 && entryAt[corner[c]] < 0) {
                entryAt[corner[c]] = indices[c];
            }
        }
        boolean needed = false;
        for (int t = 0; t < without.length; t++) {
            if (without[t]) {
                int entry = Math.max(entryAt[corner[3 * t]], Math.max(entryAt[corner[3 * t + 1]], entryAt[corner[3 * t + 2]]));
                needed |= entry < 0;
                Arrays.fill(indices, 3 * t, 3 * t + 3, entry < 0 ? spare : entry);
            }
        }
        return needed;
    }
}
