package org.estampage.cage;

import java.util.Arrays;
import org.estampage.mesh.Adjacency;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.Welding;

/**
 * A low poly seen as the floor of a cage: one node for every welded position that a triangle uses, with the direction its cage position moves in.
 *
 * @shape nodes: number of the node of each vertex, −1 for vertices that no triangle uses; triangles: three node numbers a mesh triangle, in the
 *        mesh's order; xyz arrays interleaved
 * @edge triangles without area (also those that repeat a node) have the normal 0 and ask nothing of a direction
 * @threads immutable by contract
 */
final class Shell {
    /** A direction that sees all its facets less steeply than this (87.1° off the worst) counts as none. */
    static final double LEAST_COSINE = 0.05;

    final Mesh mesh;
    final int[] nodes;
    final int[] triangles;
    final int nodeCount;
    final int triangleCount;
    /** A mesh vertex for each node. */
    final int[] vertexOf;
    final double[] xyz;
    /** Unit facet normals, 0 without area. */
    final double[] normals;
    final double[] directions;
    /** The smallest dot product of a node's direction and its facet normals; −1 where no facet has a normal. */
    final double[] cosines;
    /** Facets with area at each node: entries {@code facetStarts[n] … facetStarts[n + 1] − 1} of {@code facets}. */
    final int[] facetStarts;
    final int[] facets;
    private final Adjacency adjacency;

    private Shell(Mesh mesh) {
        this.mesh = mesh;
        int[] indices = mesh.positionIndices();
        float[] p = mesh.positions();
        int[] canonical = Welding.canonicalVertices(mesh);
        int[] nodeOf = new int[mesh.vertexCount()];
        Arrays.fill(nodeOf, -1);
        triangleCount = mesh.triangleCount();
        triangles = new int[indices.length];
        int[] firstVertex = new int[mesh.vertexCount()];
        int count = 0;
        for (int c = 0; c < indices.length; c++) {
            int v = canonical[indices[c]];
            if (nodeOf[v] < 0) {
                nodeOf[v] = count;
                firstVertex[count++] = v;
            }
            triangles[c] = nodeOf[v];
        }
        nodeCount = count;
        vertexOf = Arrays.copyOf(firstVertex, count);
        nodes = new int[mesh.vertexCount()];
        for (int v = 0; v < nodes.length; v++) {
            nodes[v] = nodeOf[canonical[v]];
        }
        xyz = new double[3 * count];
        for (int n = 0; n < count; n++) {
            for (int k = 0; k < 3; k++) {
                xyz[3 * n + k] = p[3 * vertexOf[n] + k];
            }
        }
        normals = new double[3 * triangleCount];
        facetStarts = new int[count + 1];
        for (int t = 0; t < triangleCount; t++) {
            if (unitNormal(xyz, triangles[3 * t], triangles[3 * t + 1], triangles[3 * t + 2], normals, 3 * t)) {
                for (int k = 0; k < 3; k++) {
                    facetStarts[triangles[3 * t + k] + 1]++;
                }
            }
        }
        for (int n = 0; n < count; n++) {
            facetStarts[n + 1] += facetStarts[n];
        }
        facets = new int[facetStarts[count]];
        int[] next = Arrays.copyOf(facetStarts, count);
        for (int t = 0; t < triangleCount; t++) {
            if (hasArea(t)) {
                for (int k = 0; k < 3; k++) {
                    facets[next[triangles[3 * t + k]]++] = t;
                }
            }
        }
        adjacency = Adjacency.of(mesh);
        directions = new double[3 * count];
        cosines = new double[count];
        NormalCones cones = new NormalCones();
        double[] middle = mesh.bounds().middle();
        for (int n = 0; n < count; n++) {
            if (facetStarts[n] < facetStarts[n + 1]) {
                cosines[n] = cones.centre(normals, facets, facetStarts[n], facetStarts[n + 1], directions, 3 * n);
            } else { // nothing says where outside is: away from the middle
                cosines[n] = -1;
                double x = xyz[3 * n] - middle[0], y = xyz[3 * n + 1] - middle[1], z = xyz[3 * n + 2] - middle[2];
                double length = Math.sqrt(x * x + y * y + z * z);
                directions[3 * n] = length > 0 ? x / length : 0;
                directions[3 * n + 1] = length > 0 ? y / length : 1;
                directions[3 * n + 2] = length > 0 ? z / length : 0;
            }
        }
    }

    static Shell of(Mesh mesh) {
        return new Shell(mesh);
    }

    boolean hasArea(int triangle) {
        return normals[3 * triangle] != 0 || normals[3 * triangle + 1] != 0 || normals[3 * triangle + 2] != 0;
    }

    /** Returns whether only one triangle has edge {@code k}, from corner k to the next. */
    boolean isBorder(int triangle, int k) {
        return adjacency.opposite(3 * triangle + k) == Adjacency.BOUNDARY;
    }

    boolean hasDirection(int node) {
        return cosines[node] >= LEAST_COSINE;
    }

    /** Returns the mean length of the edges of triangles with area; 0 when there are none. */
    double meanEdge() {
        double sum = 0;
        int count = 0;
        for (int c = 0; c < triangles.length; c++) {
            if (hasArea(c / 3)) {
                int a = 3 * triangles[c], b = 3 * triangles[Adjacency.next(c)];
                double x = xyz[b] - xyz[a], y = xyz[b + 1] - xyz[a + 1], z = xyz[b + 2] - xyz[a + 2];
                sum += Math.sqrt(x * x + y * y + z * z);
                count++;
            }
        }
        return count == 0 ? 0 : sum / count;
    }

    /** Returns whether a cage close enough to the low poly gives this triangle a prism that does not fold. */
    boolean canHavePrism(int t) {
        boolean can = hasArea(t);
        for (int k = 0; k < 3 && can; k++) {
            int n = 3 * triangles[3 * t + k];
            can = directions[n] * normals[3 * t] + directions[n + 1] * normals[3 * t + 1]
                    + directions[n + 2] * normals[3 * t + 2] >= LEAST_COSINE;
        }
        return can;
    }

    /** Returns the moves along the directions, xyz a node. */
    double[] moves(double[] offsets) {
        double[] moves = new double[3 * nodeCount];
        for (int i = 0; i < moves.length; i++) {
            moves[i] = offsets[i / 3] * directions[i];
        }
        return moves;
    }

    /** Returns the cage positions of the nodes as they are stored: rounded to floats. */
    float[] nodePositions(double[] moves) {
        float[] out = new float[moves.length];
        for (int i = 0; i < out.length; i++) {
            out[i] = (float) (xyz[i] + moves[i]);
        }
        return out;
    }

    /** Returns the cage positions of all mesh vertices; vertices that no triangle uses stay where they are. */
    float[] vertexPositions(double[] moves) {
        float[] out = mesh.positions().clone();
        for (int v = 0; v < nodes.length; v++) {
            int n = nodes[v];
            for (int k = 0; k < 3 && n >= 0; k++) {
                out[3 * v + k] = (float) (xyz[3 * n + k] + moves[3 * n + k]);
            }
        }
        return out;
    }

    /** Returns the directions of all mesh vertices; up where no triangle uses the vertex. */
    float[] vertexDirections() {
        float[] out = new float[3 * nodes.length];
        for (int v = 0; v < nodes.length; v++) {
            int n = nodes[v];
            for (int k = 0; k < 3; k++) {
                out[3 * v + k] = n >= 0 ? (float) directions[3 * n + k] : k == 1 ? 1 : 0;
            }
        }
        return out;
    }

    /** Spreads a value a node over the mesh vertices; 0 where no triangle uses the vertex. */
    float[] vertexValues(double[] values) {
        float[] out = new float[nodes.length];
        for (int v = 0; v < nodes.length; v++) {
            out[v] = nodes[v] >= 0 ? (float) values[nodes[v]] : 0;
        }
        return out;
    }

    /** Writes the unit normal of three points, or 0 when they span no area; tells whether they do. */
    static boolean unitNormal(double[] p, int a, int b, int c, double[] dest, int destOffset) {
        double ux = p[3 * b] - p[3 * a], uy = p[3 * b + 1] - p[3 * a + 1], uz = p[3 * b + 2] - p[3 * a + 2];
        double wx = p[3 * c] - p[3 * a], wy = p[3 * c + 1] - p[3 * a + 1], wz = p[3 * c + 2] - p[3 * a + 2];
        double x = uy * wz - uz * wy, y = uz * wx - ux * wz, z = ux * wy - uy * wx;
        double length = Math.sqrt(x * x + y * y + z * z);
        if (!(length > 0) || Double.isInfinite(length)) {
            dest[destOffset] = 0;
            dest[destOffset + 1] = 0;
            dest[destOffset + 2] = 0;
            return false;
        }
        dest[destOffset] = x / length;
        dest[destOffset + 1] = y / length;
        dest[destOffset + 2] = z / length;
        return true;
    }
}
