package org.estampage.mesh;

import java.util.Arrays;

/**
 * Tangents by the rules of MikkTSpace, so that maps baked here shade the same wherever those rules are kept.
 *
 * <p>In short: corners with equal position, normal and UV are one vertex. Each triangle has the directions in which u and v rise, and is either mirrored
 * in its UVs or not. Around a vertex, triangles of the same handedness that hang together over shared edges form a group, in which the directions,
 * projected to the plane of the vertex normal, are averaged by the corners' angles in that plane. Triangles without UV area have no say and take the
 * handedness of the first group that reaches them; triangles without area take the tangents of a corner that stands at the same vertex.
 *
 * <p>All arithmetic is in float and in the order of the triangles, as in the reference: it decides signs there.
 *
 * @space object; tangents follow rising u, bitangent = w · (normal × tangent) follows rising v, v up
 * @threads safe for concurrent calls
 * @source Mikkelsen, Simulation of Wrinkled Surfaces Revisited, master's thesis, University of Copenhagen, 2008, and the behaviour of its public
 *         reference implementation; our own code. We differ in one place: the reference leaves the edges of the last vertex that starts any unsorted,
 *         and so may overlook neighbours across them; ours are always sorted.
 */
public final class Tangents {
    private static final int PRESERVING = 1;
    private static final int ANY_HANDEDNESS = 2;

    private Tangents() {
    }

    /**
     * Returns tangents for the mesh's first UV set.
     *
     * @return four components: xyz of unit length and w = ±1; corners that share a tangent by the rules share an entry
     * @throws IllegalArgumentException if the mesh has no normals or no UVs
     * @edge as in the reference: corners that no triangle gives a direction get (1, 0, 0, −1); where the mean vanishes, or u rises along the normal, xyz
     *       is 0. What is not a finite number gives no direction; a normal that is not finite gives xyz (1, 0, 0).
     * @cost O(triangles) expected time; O(d²) at a vertex of d triangles whose directions spread over more than a half circle
     */
    public static Attribute mikkTSpace(Mesh mesh) {
        Attribute normals = mesh.normals().orElseThrow(
                () -> new IllegalArgumentException(mesh.name() + " has no normals; compute them first, for example smooth ones"));
        if (mesh.uvSets().isEmpty()) {
            throw new IllegalArgumentException(mesh.name() + " has no UVs; lay it flat first");
        }
        return new Space(mesh, normals, mesh.uvSets().get(0)).compute();
    }

    /** The working arrays of one computation; corner numbers are 3t + k, edge 3t + k runs from corner k to the next. */
    private static final class Space {
        private final float[] positions;
        private final int[] positionOf;
        private final float[] normals;
        private final int[] normalOf;
        private final float[] uvs;
        private final int[] uvOf;
        private final int cornerCount;
        /** Of corners with equal position, normal and UV the lowest. */
        private final int[] vertex;
        private final boolean[] noArea;
        private final byte[] flags;
        /** Directions of rising u and v of each triangle, of unit length or almost 0. */
        private final float[] alongU;
        private final float[] alongV;
        /** The edge on the other side, or −1. */
        private final int[] neighbour;
        /** The group of each corner, or −1. */
        private final int[] group;
        /** The result: which entry each corner has, or −1, and the entries. */
        private final int[] entryOf;
        private float[] entries = new float[4096];
        private int entryCount;
        /** The corners of the group at hand, their projected directions and their angles. */
        private int[] members = new int[16];
        private int memberCount;
        private float[] memberU = new float[48];
        private float[] memberV = new float[48];
        private float[] memberAngle = new float[16];

        Space(Mesh mesh, Attribute normalSet, Attribute uvSet) {
            positions = mesh.positions();
            positionOf = mesh.positionIndices();
            normals = normalSet.values();
            normalOf = normalSet.indices();
            uvs = uvSet.values();
            uvOf = uvSet.indices();
            cornerCount = positionOf.length;
            int[] place = Welding.cornerVertices(mesh, Welding.canonicalVertices(mesh));
            vertex = Welding.canonical(place, through(Welding.canonical(normals), normalOf), through(Welding.canonical(padded(uvs)), uvOf));
            noArea = new boolean[cornerCount / 3];
            for (int t = 0; t < noArea.length; t++) {
                noArea[t] = Adjacency.repeats(place, t);
            }
            flags = new byte[cornerCount / 3];
            alongU = new float[cornerCount];
            alongV = new float[cornerCount];
            neighbour = new int[cornerCount];
            group = new int[cornerCount];
            entryOf = new int[cornerCount];
        }

        private static int[] through(int[] canonical, int[] indices) {
            int[] out = new int[indices.length];
            for (int c = 0; c < out.length; c++) {
                out[c] = canonical[indices[c]];
            }
            return out;
        }

        /** Returns points uv as points xyz, which welding takes. */
        private static float[] padded(float[] uv) {
            float[] out = new float[uv.length / 2 * 3];
            for (int i = 0, j = 0; i < uv.length; i += 2, j += 3) {
                out[j] = uv[i];
                out[j + 1] = uv[i + 1];
            }
            return out;
        }

        Attribute compute() {
            for (int t = 0; t < noArea.length; t++) {
                findDirections(t);
            }
            pairEdges();
            Arrays.fill(group, -1);
            Arrays.fill(entryOf, -1);
            for (int c = 0, number = 0; c < cornerCount; c++) {
                if (group[c] < 0 && !noArea[c / 3] && (flags[c / 3] & ANY_HANDEDNESS) == 0) {
                    collect(c, number++);
                    average((flags[c / 3] & PRESERVING) != 0);
                }
            }
            fillTheRest();
            return new Attribute("tangents", 4, Arrays.copyOf(entries, 4 * entryCount), entryOf);
        }

        /** Finds in which directions u and v rise over a triangle, and its handedness. */
        private void findDirections(int t) {
            int c = 3 * t;
            float u0 = uvs[2 * uvOf[c]], v0 = uvs[2 * uvOf[c] + 1];
            float u1 = uvs[2 * uvOf[c + 1]] - u0, v1 = uvs[2 * uvOf[c + 1] + 1] - v0;
            float u2 = uvs[2 * uvOf[c + 2]] - u0, v2 = uvs[2 * uvOf[c + 2] + 1] - v0;
            float area = u1 * v2 - v1 * u2;
            flags[t] = (byte) (ANY_HANDEDNESS | (area > 0 ? PRESERVING : 0));
            if (!(Math.abs(area) > Float.MIN_NORMAL)) {
                return;
            }
            int p0 = 3 * positionOf[c], p1 = 3 * positionOf[c + 1], p2 = 3 * positionOf[c + 2];
            float squareU = 0, squareV = 0;
            for (int k = 0; k < 3; k++) {
                float d1 = positions[p1 + k] - positions[p0 + k], d2 = positions[p2 + k] - positions[p0 + k];
                float u = v2 * d1 - v1 * d2, v = u1 * d2 - u2 * d1;
                alongU[c + k] = u;
                alongV[c + k] = v;
                squareU += u * u;
                squareV += v * v;
            }
            float lengthU = (float) Math.sqrt(squareU), lengthV = (float) Math.sqrt(squareV);
            float sign = area > 0 ? 1 : -1;
            scale(alongU, c, lengthU > Float.MIN_NORMAL ? sign / lengthU : 1);
            scale(alongV, c, lengthV > Float.MIN_NORMAL ? sign / lengthV : 1);
            if (lengthU / Math.abs(area) > Float.MIN_NORMAL && lengthV / Math.abs(area) > Float.MIN_NORMAL) {
                flags[t] &= ~ANY_HANDEDNESS;
            }
        }

        private static void scale(float[] xyz, int at, float factor) {
            xyz[at] *= factor;
            xyz[at + 1] *= factor;
            xyz[at + 2] *= factor;
        }

        /** Pairs each edge with the next one between the same vertices that runs the other way and is still free. */
        private void pairEdges() {
            Arrays.fill(neighbour, -1);
            EdgeRuns runs = new EdgeRuns(vertex, cornerCount, noArea);
            int[] order = runs.order();
            for (int from = 0, to; from < order.length; from = to) {
                to = runs.endOf(from);
                int free = from; // all edges that are still free run the same way, or they would have been paired
                for (int i = from + 1; i < to; i++) {
                    while (free < i && neighbour[order[free]] >= 0) {
                        free++;
                    }
                    if (free < i && vertex[order[free]] != vertex[order[i]]) {
                        neighbour[order[free]] = order[i];
                        neighbour[order[i]] = order[free];
                    }
                }
            }
        }

        /** Collects the group of a corner: those that hang together with it, turning about its vertex one way and then the other. */
        private void collect(int corner, int number) {
            memberCount = 0;
            boolean preserving = (flags[corner / 3] & PRESERVING) != 0;
            group[corner] = number;
            push(corner);
            for (int edge = neighbour[corner]; edge >= 0;) {
                int next = EdgeRuns.next(edge); // the edge beyond ends at our vertex, so the corner after it is ours
                edge = join(next, preserving, number) ? neighbour[next] : -1;
            }
            for (int edge = neighbour[EdgeRuns.previous(corner)]; edge >= 0;) {
                edge = join(edge, preserving, number) ? neighbour[EdgeRuns.previous(edge)] : -1;
            }
            Arrays.sort(members, 0, memberCount);
        }

        private boolean join(int corner, boolean preserving, int number) {
            int t = corner / 3;
            if (group[corner] >= 0) {
                return false;
            }
            if ((flags[t] & ANY_HANDEDNESS) != 0 && group[3 * t] < 0 && group[3 * t + 1] < 0 && group[3 * t + 2] < 0) {
                flags[t] = (byte) (ANY_HANDEDNESS | (preserving ? PRESERVING : 0));
            }
            if ((flags[t] & PRESERVING) != 0 != preserving) {
                return false;
            }
            group[corner] = number;
            push(corner);
            return true;
        }

        private void push(int corner) {
            if (memberCount == members.length) {
                int size = 2 * memberCount;
                members = Arrays.copyOf(members, size);
                memberU = new float[3 * size];
                memberV = new float[3 * size];
                memberAngle = new float[size];
            }
            members[memberCount++] = corner;
        }

        /**
         * Gives the members of a group, whose corners all have one normal, the mean of those that have a direction of their own; but a member leaves out
         * those that point exactly the other way.
         */
        private void average(boolean preserving) {
            int n = 3 * normalOf[members[0]];
            for (int i = 0; i < memberCount; i++) {
                int t = 3 * (members[i] / 3);
                project(alongU[t], alongU[t + 1], alongU[t + 2], n, memberU, 3 * i);
                project(alongV[t], alongV[t + 1], alongV[t + 2], n, memberV, 3 * i);
                memberAngle[i] = hasDirection(i) ? angleAt(members[i], n) : 0;
            }
            int shared = -1;
            boolean within = isWithinHalfCircle(memberU) && isWithinHalfCircle(memberV);
            for (int i = 0; i < memberCount; i++) {
                boolean all = within || agreesWithAll(i);
                if (!all || shared < 0) {
                    addMean(all ? -1 : i, preserving);
                    shared = all ? entryCount - 1 : shared;
                }
                entryOf[members[i]] = all ? shared : entryCount - 1;
            }
        }

        /** Returns whether no two directions can be opposite, since all lie within 84° of the first: the usual case, and quickly seen. */
        private boolean isWithinHalfCircle(float[] directions) {
            for (int i = 1; i < memberCount; i++) {
                if (!(dot(directions, 0, i) > 0.1f)) {
                    return false;
                }
            }
            return true;
        }

        private boolean agreesWithAll(int i) {
            for (int j = 0; j < memberCount; j++) {
                if (!agree(i, j)) {
                    return false;
                }
            }
            return true;
        }

        private boolean agree(int i, int j) {
            return i == j || !hasDirection(i) || !hasDirection(j) || (dot(memberU, i, j) > -1 && dot(memberV, i, j) > -1);
        }

        private static float dot(float[] xyz, int i, int j) {
            return xyz[3 * i] * xyz[3 * j] + xyz[3 * i + 1] * xyz[3 * j + 1] + xyz[3 * i + 2] * xyz[3 * j + 2];
        }

        private boolean hasDirection(int member) {
            return (flags[members[member] / 3] & ANY_HANDEDNESS) == 0;
        }

        /** Adds an entry: the mean over all members, or, if {@code of} is one, over those that agree with it. */
        private void addMean(int of, boolean preserving) {
            float x = 0, y = 0, z = 0;
            for (int i = 0; i < memberCount; i++) {
                if (hasDirection(i) && (of < 0 || agree(of, i))) {
                    float angle = memberAngle[i];
                    x += angle * memberU[3 * i];
                    y += angle * memberU[3 * i + 1];
                    z += angle * memberU[3 * i + 2];
                }
            }
            float length = (float) Math.sqrt(x * x + y * y + z * z);
            float w = preserving ? 1 : -1;
            if (!(length <= Float.MAX_VALUE)) {
                addEntry(1, 0, 0, w);
            } else {
                float unit = length > Float.MIN_NORMAL ? 1 / length : 1;
                addEntry(unit * x, unit * y, unit * z, w);
            }
        }

        private void addEntry(float x, float y, float z, float w) {
            int at = 4 * entryCount++;
            if (at == entries.length) {
                entries = Arrays.copyOf(entries, Math.min(2 * at, 4 * cornerCount + 4));
            }
            entries[at] = x;
            entries[at + 1] = y;
            entries[at + 2] = z;
            entries[at + 3] = w;
        }

        /** Writes a vector without its part along a normal, at unit length unless almost nothing is left. */
        private void project(float x, float y, float z, int normal, float[] dest, int at) {
            float nx = normals[normal], ny = normals[normal + 1], nz = normals[normal + 2];
            float d = nx * x + ny * y + nz * z;
            float px = x - nx * d, py = y - ny * d, pz = z - nz * d;
            float length = (float) Math.sqrt(px * px + py * py + pz * pz);
            float unit = length > Float.MIN_NORMAL ? 1 / length : 1;
            dest[at] = unit * px;
            dest[at + 1] = unit * py;
            dest[at + 2] = unit * pz;
        }

        private final float[] before = new float[3];
        private final float[] after = new float[3];

        /** Returns the angle between a corner's two edges, both projected to the normal's plane. */
        private float angleAt(int corner, int normal) {
            projectEdge(corner, EdgeRuns.previous(corner), normal, before);
            projectEdge(corner, EdgeRuns.next(corner), normal, after);
            float cosine = before[0] * after[0] + before[1] * after[1] + before[2] * after[2];
            return (float) StrictMath.acos(Math.max(-1, Math.min(1, cosine)));
        }

        private void projectEdge(int from, int to, int normal, float[] dest) {
            int a = 3 * positionOf[from], b = 3 * positionOf[to];
            project(positions[b] - positions[a], positions[b + 1] - positions[a + 1], positions[b + 2] - positions[a + 2], normal, dest, 0);
        }

        /** Corners without a tangent: in a triangle without area, that of the first other corner at the same vertex; else the fixed one. */
        private void fillTheRest() {
            int[] first = group; // no longer needed
            Arrays.fill(first, -1);
            int none = -1;
            for (int c = 0; c < cornerCount; c++) {
                if (!noArea[c / 3]) {
                    if (entryOf[c] < 0) {
                        none = none < 0 ? addNone() : none;
                        entryOf[c] = none;
                    }
                    if (first[vertex[c]] < 0) {
                        first[vertex[c]] = entryOf[c];
                    }
                }
            }
            for (int c = 0; c < cornerCount; c++) {
                if (entryOf[c] < 0) {
                    entryOf[c] = first[vertex[c]];
                    if (entryOf[c] < 0) {
                        none = none < 0 ? addNone() : none;
                        entryOf[c] = none;
                    }
                }
            }
        }

        private int addNone() {
            addEntry(1, 0, 0, -1);
            return entryCount - 1;
        }
    }
}
