package org.estampage.mesh;

import java.util.Arrays;
import org.jspecify.annotations.Nullable;

/**
 * Which corners share a normal: those with the same fan number.
 *
 * @threads immutable by contract
 */
final class NormalFans {
    private final int[] ofCorner;
    private final int count;

    private NormalFans(int[] ofCorner, int count) {
        this.ofCorner = ofCorner;
        this.count = count;
    }

    /**
     * Returns the fan number of each corner; not to be changed.
     *
     * @shape one number a triangle corner, below {@link #count}
     */
    int[] ofCorner() {
        return ofCorner;
    }

    /** Returns above all fan numbers. */
    int count() {
        return count;
    }

    /** Returns one fan a welded vertex that triangles use, in the vertices' order. */
    static NormalFans smooth(Mesh mesh, int[] canonical) {
        int[] indices = mesh.positionIndices();
        int[] number = new int[mesh.vertexCount()];
        for (int index : indices) {
            number[canonical[index]] = 1;
        }
        int count = 0;
        for (int v = 0; v < number.length; v++) {
            number[v] = number[v] == 0 ? -1 : count++;
        }
        if (count == number.length) { // nothing to weld, nothing unused: the normals need no indices of their own
            return new NormalFans(indices, count);
        }
        int[] fan = new int[indices.length];
        for (int c = 0; c < fan.length; c++) {
            fan[c] = number[canonical[indices[c]]];
        }
        return new NormalFans(fan, count);
    }

    /** Returns one fan a smoothing group at each welded vertex; one a corner of triangles without a group. */
    static NormalFans bySmoothingGroups(Mesh mesh, int[] groups, int[] canonical) {
        int[] corners = Welding.cornerVertices(mesh, canonical);
        // Chain the fans of each vertex: one a group; group 0 opens a new one for each corner and need not be found again.
        int[] firstOfVertex = new int[mesh.vertexCount()];
        Arrays.fill(firstOfVertex, -1);
        int[] nextOfVertex = new int[corners.length];
        int[] groupOfFan = new int[corners.length];
        int[] fan = new int[corners.length];
        int count = 0;
        for (int c = 0; c < corners.length; c++) {
            int group = groups[c / 3];
            int f = group == 0 ? -1 : firstOfVertex[corners[c]];
            while (f >= 0 && groupOfFan[f] != group) {
                f = nextOfVertex[f];
            }
            if (f < 0) {
                f = count++;
                groupOfFan[f] = group;
                if (group != 0) {
                    nextOfVertex[f] = firstOfVertex[corners[c]];
                    firstOfVertex[corners[c]] = f;
                }
            }
            fan[c] = f;
        }
        return new NormalFans(fan, count);
    }

    /**
     * Returns the fans into which hard edges cut the ring of corners around each welded vertex.
     *
     * @param facets      the triangles' unit normals, 0 for those without area
     * @param leastCosine edges whose facets have a smaller dot product are hard
     * @param uvs         edges across which these break are hard; none if null
     */
    static NormalFans cut(int[] opposite, double[] facets, double leastCosine, @Nullable Attribute uvs) {
        int[] fan = new int[opposite.length];
        return new NormalFans(fan, new Rings(opposite, facets, leastCosine, uvs).number(fan));
    }

    /**
     * Returns the fans of given numbers, in order of first use.
     *
     * @throws IllegalArgumentException if a number is negative
     */
    static NormalFans of(int[] numbers) {
        int most = -1;
        for (int c = 0; c < numbers.length; c++) {
            if (numbers[c] < 0) {
                throw new IllegalArgumentException("fan[" + c + "] = " + numbers[c] + " must be at least 0");
            }
            most = Math.max(most, numbers[c]);
        }
        int[] number = new int[most + 1];
        Arrays.fill(number, -1);
        int[] dense = new int[numbers.length];
        int count = 0;
        for (int c = 0; c < numbers.length; c++) {
            if (number[numbers[c]] < 0) {
                number[numbers[c]] = count++;
            }
            dense[c] = number[numbers[c]];
        }
        return new NormalFans(dense, count);
    }

    /** Returns fans that break where these or the others do. */
    NormalFans and(NormalFans others) {
        return of(Welding.canonical(ofCorner, others.ofCorner, new int[ofCorner.length]));
    }

    /** Returns whether two triangles with area turn to each other by more than an angle. */
    static boolean turns(double[] facets, int a, int b, double leastCosine) {
        double dot = facets[3 * a] * facets[3 * b] + facets[3 * a + 1] * facets[3 * b + 1] + facets[3 * a + 2] * facets[3 * b + 2];
        return hasArea(facets, a) && hasArea(facets, b) && dot < leastCosine;
    }

    private static boolean hasArea(double[] facets, int t) {
        return facets[3 * t] != 0 || facets[3 * t + 1] != 0 || facets[3 * t + 2] != 0;
    }

    /** Walks around each vertex and cuts its corners into fans. */
    private static final class Rings {
        private final int[] opposite;
        private final double[] facets;
        private final double leastCosine;
        private final @Nullable Attribute uvs;
        private int[] ring = new int[64];
        private int length;

        Rings(int[] opposite, double[] facets, double leastCosine, @Nullable Attribute uvs) {
            this.opposite = opposite;
            this.facets = facets;
            this.leastCosine = leastCosine;
            this.uvs = uvs;
        }

        /** Numbers the fan of each corner in order of first use and returns how many there are. */
        int number(int[] fan) {
            Arrays.fill(fan, -1);
            int count = 0;
            for (int c = 0; c < fan.length; c++) {
                if (fan[c] < 0) {
                    boolean closed = collect(c);
                    int first = closed ? firstBreak() : 0;
                    fan[ring[first]] = count;
                    int last = hasArea(facets, ring[first] / 3) ? ring[first] / 3 : -1;
                    boolean border = false;
                    for (int i = 1; i < length; i++) {
                        int corner = ring[(first + i) % length];
                        int t = corner / 3;
                        border |= bordersAfter((first + i - 1) % length);
                        if (hasArea(facets, t)) {
                            if (last >= 0 && (border || turns(facets, last, t, leastCosine))) {
                                count++;
                            }
                            last = t;
                            border = false;
                        }
                        fan[corner] = count;
                    }
                    count++;
                }
            }
            return count;
        }

        /** Lists the corners around corner c's vertex, in the order of turning over outgoing edges; returns whether they close. */
        private boolean collect(int c) {
            length = 0;
            int corner = c;
            do {
                push(corner);
                int across = opposite[corner];
                corner = across < 0 ? -1 : Adjacency.next(across);
            } while (corner >= 0 && corner != c);
            if (corner == c) {
                return true;
            }
            // Open: what lies before c comes first.
            int ahead = length;
            for (int across = opposite[Adjacency.previous(c)]; across >= 0; across = opposite[Adjacency.previous(across)]) {
                push(across);
            }
            reverse(0, ahead);
            reverse(0, length);
            return false;
        }

        private void push(int corner) {
            if (length == ring.length) {
                ring = Arrays.copyOf(ring, 2 * length);
            }
            ring[length++] = corner;
        }

        private void reverse(int from, int to) {
            for (int i = from, j = to - 1; i < j; i++, j--) {
                int swap = ring[i];
                ring[i] = ring[j];
                ring[j] = swap;
            }
        }

        /** Returns whether UVs break between a corner of the ring and the one after it; the edge between them starts at the former. */
        private boolean bordersAfter(int place) {
            int edge = ring[place];
            return uvs != null && opposite[edge] >= 0 && uvs.breaksAt(edge, opposite[edge]);
        }

        /** Returns the place in a closed ring that follows a hard edge; 0 when there is none. */
        private int firstBreak() {
            int start = length - 1;
            while (start >= 0 && !hasArea(facets, ring[start] / 3)) {
                start--;
            }
            boolean border = false;
            for (int k = 1, last = start; start >= 0 && k <= length; k++) {
                int i = (start + k) % length;
                border |= bordersAfter((start + k - 1) % length);
                if (hasArea(facets, ring[i] / 3)) {
                    if (border || turns(facets, ring[last] / 3, ring[i] / 3, leastCosine)) {
                        return i;
                    }
                    last = i;
                    border = false;
                }
            }
            return 0;
        }
    }
}
