package org.estampage.mesh;

import java.util.Arrays;

/**
 * Tangents by the rules of MikkTSpace, so that maps baked here shade the same wherever those rules are kept.
 *
 * <p>In short: corners with equal position, normal and UV are one vertex; each triangle has a tangent and a bitangent direction and is either mirrored
 * in its UVs or not; around a vertex, triangles of the same handedness that hang together by shared edges form a group, within which each corner's
 * directions, projected to the vertex normal's plane, are averaged by the corner's angle. Triangles without UV area take the handedness of a
 * neighbour; triangles without area take the tangents of a corner that stands at the same place.
 *
 * @space object; tangents follow rising u, bitangent = w · (normal × tangent) follows rising v, v up
 * @source Mikkelsen, Simulation of Wrinkled Surfaces Revisited, 2008, and the behaviour of its public reference implementation; our own code
 */
public final class Tangents {
    private Tangents() {
    }

    /**
     * Returns tangents for the mesh's first UV set.
     *
     * @return four components: xyz of unit length and w = ±1; one entry a triangle corner
     * @throws IllegalArgumentException if the mesh has no normals or no UVs
     * @edge corners that no triangle gives a direction get (1, 0, 0, −1), as in the reference
     */
    public static Attribute mikkTSpace(Mesh mesh) {
        Attribute normals = mesh.normals()
                .orElseThrow(
                        () -> new IllegalArgumentException(mesh.name() + " has no normals; compute them first, for example smooth ones"));
        if (mesh.uvSets().isEmpty()) {
            throw new IllegalArgumentException(mesh.name() + " has no UVs; lay it flat first");
        }
        int[] corners = new int[3 * mesh.triangleCount()];
        for (int c = 0; c < corners.length; c++) {
            corners[c] = c;
        }
        float[] tangents = new Space(mesh, normals, mesh.uvSets().get(0)).compute();
        return new Attribute("tangent", 4, tangents, corners);
    }

    /** The working arrays of one computation; corner numbers are 3t + k. */
    private static final class Space {
        private static final int PRESERVING = 1;
        private static final int ANY_HANDEDNESS = 2;
        private static final int NO_AREA = 4;

        private final float[] positions;
        private final int[] positionOf;
        private final float[] normals;
        private final int[] normalOf;
        private final float[] uvs;
        private final int[] uvOf;
        private final int triangleCount;
        /** Of corners with equal position, normal and UV the lowest. */
        private final int[] vertex;
        private final byte[] flags;
        /** Directions of rising u and v of each triangle, unit length or zero. */
        private final float[] alongU;
        private final float[] alongV;
        private final float[] lengthU;
        private final float[] lengthV;
        /** The edge on the other side, or −1; edge 3t + k runs from corner k to the next. */
        private final int[] neighbour;
        /** The group of each corner, or −1. */
        private final int[] group;

        Space(Mesh mesh, Attribute normalAttribute, Attribute uvAttribute) {
            positions = mesh.positions();
            positionOf = mesh.positionIndices();
            normals = normalAttribute.values();
            normalOf = normalAttribute.indices();
            uvs = uvAttribute.values();
            uvOf = uvAttribute.indices();
            triangleCount = mesh.triangleCount();
            vertex = weld();
            flags = new byte[triangleCount];
            alongU = new float[3 * triangleCount];
            alongV = new float[3 * triangleCount];
            lengthU = new float[triangleCount];
            lengthV = new float[triangleCount];
            neighbour = new int[3 * triangleCount];
            group = new int[3 * triangleCount];
        }

        float[] compute() {
            markWithoutArea();
            directions();
            pairEdges();
            float[] dest = new float[12 * triangleCount];
            for (int c = 0; c < 3 * triangleCount; c++) {
                dest[4 * c] = 1;
                dest[4 * c + 3] = -1;
            }
            group(dest);
            fillWithoutArea(dest);
            return dest;
        }

        /** Hash welding over all eight numbers; −0 equals 0. */
        private int[] weld() {
            int corners = positionOf.length;
            int[] welded = new int[corners];
            int size = Integer.highestOneBit(Math.max(4, corners)) * 4;
            int[] table = new int[size];
            for (int c = 0; c < corners; c++) {
                long h = 0;
                for (int k = 0; k < 8; k++) {
                    h = (h ^ Float.floatToIntBits(number(c, k) + 0f)) * 0x9e3779b97f4a7c15L;
                    h ^= h >>> 29;
                }
                int slot = (int) (h >>> 16) & (size - 1);
                welded[c] = c;
                while (table[slot] != 0) {
                    int other = table[slot] - 1;
                    if (equal(c, other)) {
                        welded[c] = other;
                        break;
                    }
                    slot = (slot + 1) & (size - 1);
                }
                if (welded[c] == c) {
                    table[slot] = c + 1;
                }
            }
            return welded;
        }

        private float number(int corner, int k) {
            return k < 3
                    ? positions[3 * positionOf[corner] + k]
                    : k < 6 ? normals[3 * normalOf[corner] + k - 3] : uvs[2 * uvOf[corner] + k - 6];
        }

        private boolean equal(int a, int b) {
            for (int k = 0; k < 8; k++) {
                if (number(a, k) != number(b, k)) {
                    return false;
                }
            }
            return true;
        }

        private boolean samePlace(int a, int b) {
            for (int k = 0; k < 3; k++) {
                if (number(a, k) != number(b, k)) {
                    return false;
                }
            }
            return true;
        }

        private void markWithoutArea() {
            for (int t = 0; t < triangleCount; t++) {
                int c = 3 * t;
                if (samePlace(c, c + 1) || samePlace(c + 1, c + 2) || samePlace(c + 2, c)) {
                    flags[t] |= NO_AREA;
                }
            }
        }

        private void directions() {
            for (int t = 0; t < triangleCount; t++) {
                flags[t] |= ANY_HANDEDNESS;
                int c = 3 * t;
                float u0 = uvs[2 * uvOf[c]], v0 = uvs[2 * uvOf[c] + 1];
                float u1 = uvs[2 * uvOf[c + 1]] - u0, v1 = uvs[2 * uvOf[c + 1] + 1] - v0;
                float u2 = uvs[2 * uvOf[c + 2]] - u0, v2 = uvs[2 * uvOf[c + 2] + 1] - v0;
                float area = u1 * v2 - v1 * u2;
                if (area > 0) {
                    flags[t] |= PRESERVING;
                }
                if (Math.abs(area) > Float.MIN_NORMAL) {
                    float squareU = 0, squareV = 0;
                    for (int k = 0; k < 3; k++) {
                        float d1 = number(c + 1, k) - number(c, k), d2 = number(c + 2, k) - number(c, k);
                        float along = v2 * d1 - v1 * d2, across = -u2 * d1 + u1 * d2;
                        alongU[c + k] = along;
                        alongV[c + k] = across;
                        squareU += along * along;
                        squareV += across * across;
                    }
                    float lenU = (float) Math.sqrt(squareU), lenV = (float) Math.sqrt(squareV);
                    float sign = area > 0 ? 1 : -1;
                    for (int k = 0; k < 3; k++) {
                        alongU[c + k] = lenU > Float.MIN_NORMAL ? alongU[c + k] * (sign / lenU) : alongU[c + k];
                        alongV[c + k] = lenV > Float.MIN_NORMAL ? alongV[c + k] * (sign / lenV) : alongV[c + k];
                    }
                    lengthU[t] = lenU / Math.abs(area);
                    lengthV[t] = lenV / Math.abs(area);
                    if (lengthU[t] > Float.MIN_NORMAL && lengthV[t] > Float.MIN_NORMAL) {
                        flags[t] &= ~ANY_HANDEDNESS;
                    }
                }
            }
        }

        /** Pairs edges of triangles with area: in order of triangle and edge, each with the first unpaired one that runs the other way. */
        private void pairEdges() {
            Arrays.fill(neighbour, -1);
            long[] keys = new long[3 * triangleCount];
            int[] edges = new int[3 * triangleCount];
            int count = 0;
            for (int e = 0; e < 3 * triangleCount; e++) {
                if ((flags[e / 3] & NO_AREA) == 0) {
                    int a = vertex[e], b = vertex[Adjacency.next(e)];
                    keys[count] = (long) Math.min(a, b) << 32 | Math.max(a, b);
                    edges[count++] = e;
                }
            }
            int[] order = sorted(keys, edges, count);
            for (int i = 0; i < count;) {
                int end = i + 1;
                while (end < count && keyOf(order[end]) == keyOf(order[i])) {
                    end++;
                }
                for (int a = i; a < end; a++) {
                    if (neighbour[order[a]] >= 0) {
                        continue;
                    }
                    for (int b = a + 1; b < end; b++) {
                        if (neighbour[order[b]] < 0 && vertex[order[a]] == vertex[Adjacency.next(order[b])]
                                && vertex[Adjacency.next(order[a])] == vertex[order[b]]) {
                            neighbour[order[a]] = order[b];
                            neighbour[order[b]] = order[a];
                            break;
                        }
                    }
                }
                i = end;
            }
        }

        private long keyOf(int e) {
            int a = vertex[e], b = vertex[Adjacency.next(e)];
            return (long) Math.min(a, b) << 32 | Math.max(a, b);
        }

        /** Returns the edges by (lower vertex, upper vertex, edge): counted into buckets of the lower vertex, each bucket sorted. */
        private int[] sorted(long[] keys, int[] edges, int count) {
            int[] start = new int[3 * triangleCount + 1];
            for (int i = 0; i < count; i++) {
                start[(int) (keys[i] >>> 32) + 1]++;
            }
            for (int v = 0; v < 3 * triangleCount; v++) {
                start[v + 1] += start[v];
            }
            long[] bucket = new long[count];
            int[] fill = start.clone();
            for (int i = 0; i < count; i++) {
                bucket[fill[(int) (keys[i] >>> 32)]++] = keys[i] << 32 | edges[i];
            }
            int[] order = new int[count];
            for (int v = 0; v < 3 * triangleCount; v++) {
                Arrays.sort(bucket, start[v], start[v + 1]);
            }
            for (int i = 0; i < count; i++) {
                order[i] = (int) bucket[i];
            }
            return order;
        }

        /** Forms the groups in the order of triangles and corners, and averages each. */
        private void group(float[] dest) {
            Arrays.fill(group, -1);
            int[] members = new int[16];
            int groups = 0;
            int[] stack = new int[64];
            for (int c = 0; c < 3 * triangleCount; c++) {
                int t = c / 3;
                if ((flags[t] & (ANY_HANDEDNESS | NO_AREA)) != 0 || group[c] >= 0) {
                    continue;
                }
                boolean preserving = (flags[t] & PRESERVING) != 0;
                int count = 0;
                int depth = 0;
                int number = groups++;
                group[c] = number;
                members[count++] = c;
                stack[depth++] = sideBefore(c);
                stack[depth++] = sideAfter(c);
                while (depth > 0) {
                    int edge = stack[--depth];
                    int joined = edge < 0 ? -1 : join(edge, vertex[c], preserving, number);
                    if (joined >= 0) {
                        if (count == members.length) {
                            members = Arrays.copyOf(members, 2 * count);
                        }
                        members[count++] = joined;
                        if (depth + 2 > stack.length) {
                            stack = Arrays.copyOf(stack, 2 * stack.length);
                        }
                        stack[depth++] = sideBefore(joined);
                        stack[depth++] = sideAfter(joined);
                    }
                }
                Arrays.sort(members, 0, count);
                average(members, count, preserving, dest);
            }
        }

        /** Returns what lies beyond the edge that begins at a corner. */
        private int sideAfter(int corner) {
            return neighbour[corner];
        }

        /** Returns what lies beyond the edge that ends at a corner. */
        private int sideBefore(int corner) {
            return neighbour[Adjacency.previous(corner)];
        }

        /** Lets the triangle of an edge join a group with its corner at the vertex; returns that corner, or −1. */
        private int join(int edge, int at, boolean preserving, int number) {
            int t = edge / 3;
            int corner = vertex[3 * t] == at ? 3 * t : vertex[3 * t + 1] == at ? 3 * t + 1 : vertex[3 * t + 2] == at ? 3 * t + 2 : -1;
            if (corner < 0 || group[corner] >= 0) {
                return -1;
            }
            if ((flags[t] & ANY_HANDEDNESS) != 0 && group[3 * t] < 0 && group[3 * t + 1] < 0 && group[3 * t + 2] < 0) {
                // The first group that reaches a triangle without UV area gives it its handedness.
                flags[t] &= ~PRESERVING;
                if (preserving) {
                    flags[t] |= PRESERVING;
                }
            }
            if (((flags[t] & PRESERVING) != 0) != preserving) {
                return -1;
            }
            group[corner] = number;
            return corner;
        }

        /**
         * Writes the tangents of a group, whose corners all have one normal: for each corner the mean over the members that have a direction of their
         * own and do not look exactly the other way.
         */
        private void average(int[] members, int count, boolean preserving, float[] dest) {
            float nx = number(members[0], 3), ny = number(members[0], 4), nz = number(members[0], 5);
            float[] u = new float[3 * count], v = new float[3 * count], angle = new float[count];
            for (int i = 0; i < count; i++) {
                int t = 3 * (members[i] / 3);
                project(alongU[t], alongU[t + 1], alongU[t + 2], nx, ny, nz, u, 3 * i);
                project(alongV[t], alongV[t + 1], alongV[t + 2], nx, ny, nz, v, 3 * i);
                angle[i] = hasDirection(members[i]) ? angleAt(members[i], nx, ny, nz) : 0;
            }
            for (int i = 0; i < count; i++) {
                float x = 0, y = 0, z = 0;
                for (int j = 0; j < count; j++) {
                    if (!hasDirection(members[j]) || i != j && hasDirection(members[i]) && (!agree(u, i, j) || !agree(v, i, j))) {
                        continue;
                    }
                    x += angle[j] * u[3 * j];
                    y += angle[j] * u[3 * j + 1];
                    z += angle[j] * u[3 * j + 2];
                }
                float length = (float) Math.sqrt(x * x + y * y + z * z);
                boolean some = length > Float.MIN_NORMAL;
                int at = 4 * members[i];
                dest[at] = some ? x / length : x;
                dest[at + 1] = some ? y / length : y;
                dest[at + 2] = some ? z / length : z;
                dest[at + 3] = preserving ? 1 : -1;
            }
        }

        private boolean hasDirection(int corner) {
            return (flags[corner / 3] & ANY_HANDEDNESS) == 0;
        }

        private static boolean agree(float[] directions, int i, int j) {
            return directions[3 * i] * directions[3 * j] + directions[3 * i + 1] * directions[3 * j + 1]
                    + directions[3 * i + 2] * directions[3 * j + 2] > -1;
        }

        private static void project(float x, float y, float z, float nx, float ny, float nz, float[] dest, int at) {
            float d = nx * x + ny * y + nz * z;
            float px = x - nx * d, py = y - ny * d, pz = z - nz * d;
            float length = (float) Math.sqrt(px * px + py * py + pz * pz);
            boolean some = length > Float.MIN_NORMAL;
            dest[at] = some ? px / length : px;
            dest[at + 1] = some ? py / length : py;
            dest[at + 2] = some ? pz / length : pz;
        }

        /** Returns the angle of a corner between its two edges, both projected to the normal's plane. */
        private float angleAt(int corner, float nx, float ny, float nz) {
            int before = Adjacency.previous(corner), after = Adjacency.next(corner);
            float[] a = projectedEdge(corner, before, nx, ny, nz), b = projectedEdge(corner, after, nx, ny, nz);
            float cosine = Math.max(-1, Math.min(1, a[0] * b[0] + a[1] * b[1] + a[2] * b[2]));
            return (float) StrictMath.acos(cosine);
        }

        private float[] projectedEdge(int from, int to, float nx, float ny, float nz) {
            float[] dest = new float[3];
            project(number(to, 0) - number(from, 0), number(to, 1) - number(from, 1), number(to, 2) - number(from, 2), nx, ny, nz, dest, 0);
            return dest;
        }

        /** Corners of triangles without area take the tangent of the first corner of another triangle that is the same vertex. */
        private void fillWithoutArea(float[] dest) {
            int[] first = new int[3 * triangleCount];
            Arrays.fill(first, -1);
            for (int c = 0; c < 3 * triangleCount; c++) {
                if ((flags[c / 3] & NO_AREA) == 0 && first[vertex[c]] < 0) {
                    first[vertex[c]] = c;
                }
            }
            for (int c = 0; c < 3 * triangleCount; c++) {
                int from = (flags[c / 3] & NO_AREA) == 0 ? -1 : first[vertex[c]];
                if (from >= 0) {
                    System.arraycopy(dest, 4 * from, dest, 4 * c, 4);
                }
            }
        }
    }
}
