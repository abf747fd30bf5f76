package org.estampage.mesh;

import java.util.List;
import java.util.Locale;
import org.estampage.finding.Finding;
import org.estampage.finding.Place;
import org.estampage.finding.Severity;
import org.estampage.finding.Tally;

/**
 * Counts one kind of thing of a mesh and keeps its first places.
 *
 * @threads confined
 */
final class MeshTally {
    private final Tally tally = new Tally();

    boolean isEmpty() {
        return tally.isEmpty();
    }

    /** Counts several things that need no place of their own. */
    void addMore(long more) {
        tally.addMore(more);
    }

    void addElement(String element, int index) {
        tally.add(new Place.Element(element, index));
    }

    /** Counts one at the middle of an edge 3t + k. */
    void addEdge(Mesh mesh, int edge) {
        addCorners(mesh, edge, Adjacency.next(edge));
    }

    /** Counts one at the middle of a triangle. */
    void addTriangle(Mesh mesh, int triangle) {
        addCorners(mesh, 3 * triangle, 3 * triangle + 1, 3 * triangle + 2);
    }

    /** Counts one at a vertex. */
    void addVertex(Mesh mesh, int vertex) {
        float[] p = mesh.positions();
        tally.add(new Place.Point(p[3 * vertex], p[3 * vertex + 1], p[3 * vertex + 2]));
    }

    private void addCorners(Mesh mesh, int... corners) {
        if (tally.wantsPlace()) {
            tally.add(middle(mesh, corners));
        } else {
            tally.addMore(1);
        }
    }

    /** Returns the middle of corners. */
    static Place middle(Mesh mesh, int... corners) {
        double[] sum = new double[3];
        for (int corner : corners) {
            for (int k = 0; k < 3; k++) {
                sum[k] += mesh.positions()[3 * mesh.positionIndices()[corner] + k];
            }
        }
        int n = corners.length;
        return new Place.Point((float) (sum[0] / n), (float) (sum[1] / n), (float) (sum[2] / n));
    }

    /** Adds a finding, if anything was counted; the message is the number followed by what it was. */
    void report(List<Finding> found, String kind, Severity severity, String one, String many, String remedy) {
        long count = tally.count();
        if (count > 0) {
            found.add(
                    new Finding(kind, severity, count, count == 1 ? "1 " + one : String.format(Locale.ROOT, "%,d %s", count, many), remedy,
                            tally.places()));
        }
    }
}
