package org.estampage.uv;

import java.util.Arrays;
import org.estampage.internal.kernel.DisjointSets;
import org.estampage.mesh.Adjacency;

/**
 * Which edges of a surface are seams, and the pieces they make. Seams that the user asked for are fixed: nobody sews them.
 *
 * @threads confined
 */
final class Seams {
    /** The surface. */
    final Surface surface;
    private final boolean[] seam;
    private final boolean[] fixed;
    /** Scratch: a number a triangle, −1 between calls. */
    private final int[] mark;

    Seams(Surface surface) {
        this.surface = surface;
        seam = new boolean[surface.opposite.length];
        fixed = new boolean[surface.opposite.length];
        mark = new int[surface.triangleCount];
        Arrays.fill(mark, -1);
    }

    /** Whether nothing goes across a half-edge: a border or a seam. */
    boolean open(int h) {
        return seam[h] || surface.opposite[h] < 0;
    }

    boolean seam(int h) {
        return seam[h];
    }

    boolean fixed(int h) {
        return fixed[h];
    }

    /** Makes an edge a seam or sews it; borders stay. */
    void set(int h, boolean value) {
        int o = surface.opposite[h];
        if (o >= 0) {
            seam[h] = value;
            seam[o] = value;
        }
    }

    /** Makes an edge a seam for good. */
    void fix(int h) {
        int o = surface.opposite[h];
        if (o >= 0) {
            set(h, true);
            fixed[h] = true;
            fixed[o] = true;
        }
    }

    /** Returns the connected parts of a set of triangles; each part's triangles rise, and so do the first triangles of the parts. */
    int[][] components(int[] triangles) {
        int[] part = new int[triangles.length];
        Arrays.fill(part, -1);
        number(triangles);
        int[] queue = new int[triangles.length];
        int[] size = new int[triangles.length];
        int count = 0;
        for (int i = 0; i < triangles.length; i++) {
            if (part[i] >= 0) {
                continue;
            }
            int end = 0;
            queue[end++] = i;
            part[i] = count;
            for (int at = 0; at < end; at++) {
                for (int k = 0; k < 3; k++) {
                    int j = across(3 * triangles[queue[at]] + k);
                    if (j >= 0 && part[j] < 0) {
                        part[j] = count;
                        queue[end++] = j;
                    }
                }
            }
            size[count++] = end;
        }
        clear(triangles);
        int[][] parts = new int[count][];
        for (int p = 0; p < count; p++) {
            parts[p] = new int[size[p]];
            size[p] = 0;
        }
        for (int i = 0; i < triangles.length; i++) {
            parts[part[i]][size[part[i]]++] = triangles[i];
        }
        return parts;
    }

    /** Numbers a set of triangles for {@link #across}; to be followed by {@link #clear}. */
    void number(int[] triangles) {
        for (int i = 0; i < triangles.length; i++) {
            mark[triangles[i]] = i;
        }
    }

    /** Forgets the numbers. */
    void clear(int[] triangles) {
        for (int t : triangles) {
            mark[t] = -1;
        }
    }

    /** Returns the number of the numbered triangle across a half-edge, −1 where there is none. */
    int across(int h) {
        return open(h) ? -1 : mark[surface.opposite[h] / 3];
    }

    /** Makes seams of all edges between differently labelled triangles of a set. */
    void separate(int[] triangles, int[] label) {
        number(triangles);
        for (int i = 0; i < triangles.length; i++) {
            for (int k = 0; k < 3; k++) {
                int h = 3 * triangles[i] + k;
                int j = across(h);
                if (j >= 0 && label[j] != label[i]) {
                    set(h, true);
                }
            }
        }
        clear(triangles);
    }

    /** Cuts a set of triangles free. */
    Piece piece(int[] triangles) {
        int f = triangles.length;
        number(triangles);
        DisjointSets fans = new DisjointSets(3 * f);
        int[] border = new int[3 * f];
        int borders = 0;
        int inner = 0;
        double area = 0;
        for (int i = 0; i < f; i++) {
            area += surface.area[triangles[i]];
            for (int k = 0; k < 3; k++) {
                int h = 3 * triangles[i] + k;
                int j = across(h);
                if (j < 0) {
                    border[borders++] = 3 * i + k;
                    continue;
                }
                inner++;
                int o = surface.opposite[h] % 3;
                fans.join(3 * i + k, 3 * j + (o + 1) % 3);
                fans.join(Adjacency.next(3 * i + k), 3 * j + o);
            }
        }
        int[] corners = new int[3 * f];
        int vertices = 0;
        for (int c = 0; c < 3 * f; c++) {
            int first = fans.find(c); // the lowest of its fan, so already numbered
            corners[c] = first == c ? vertices++ : corners[first];
        }
        boolean simple = simple(triangles, corners, (inner + 2 * borders + 1) / 2);
        clear(triangles);
        int[] follows = new int[vertices];
        Arrays.fill(follows, -1);
        for (int b = 0; b < borders; b++) {
            follows[corners[border[b]]] = border[b];
        }
        int[] loop = new int[borders];
        int[] starts = new int[borders + 1];
        int loops = 0;
        int at = 0;
        for (int b = 0; b < borders; b++) {
            int c = border[b];
            if (follows[corners[c]] != c) {
                continue; // taken already
            }
            starts[loops++] = at;
            while (c >= 0) {
                loop[at++] = 3 * triangles[c / 3] + c % 3;
                follows[corners[c]] = -1;
                c = follows[corners[Adjacency.next(c)]];
            }
        }
        starts[loops] = at;
        int euler = vertices - (inner / 2 + borders) + f;
        return new Piece(triangles, corners, vertices, loop, Arrays.copyOf(starts, loops + 1), euler, simple, area);
    }

    /** Whether all edges have different ends. */
    private boolean simple(int[] triangles, int[] corners, int edges) {
        long[] ends = new long[edges];
        int count = 0;
        for (int c = 0; c < corners.length; c++) {
            int h = 3 * triangles[c / 3] + c % 3;
            if (across(h) < 0 || h < surface.opposite[h]) {
                int a = corners[c];
                int b = corners[Adjacency.next(c)];
                ends[count++] = (long) Math.min(a, b) << 32 | Math.max(a, b);
            }
        }
        Arrays.sort(ends, 0, count);
        for (int e = 1; e < count; e++) {
            if (ends[e] == ends[e - 1]) {
                return false;
            }
        }
        return true;
    }
}
