package org.estampage.mesh;

import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import org.estampage.finding.Finding;
import org.estampage.finding.Place;
import org.estampage.finding.Severity;

/**
 * Counts one kind of thing and keeps its first places.
 *
 * @threads confined
 */
final class Tally {
    private final List<Place> places = new ArrayList<>();
    private long count;

    boolean isEmpty() {
        return count == 0;
    }

    /** Counts one and returns whether its place is wanted too. */
    private boolean addOne() {
        count++;
        return places.size() < Finding.MAX_PLACES;
    }

    /** Counts several things that need no place of their own. */
    void addMore(long more) {
        count += more;
    }

    void addElement(String element, int index) {
        if (addOne()) {
            places.add(new Place.Element(element, index));
        }
    }

    /** Counts one at the middle of an edge 3t + k. */
    void addEdge(Mesh mesh, int edge) {
        if (addOne()) {
            places.add(middle(mesh, edge, Adjacency.next(edge)));
        }
    }

    /** Counts one at the middle of a triangle. */
    void addTriangle(Mesh mesh, int triangle) {
        if (addOne()) {
            places.add(middle(mesh, 3 * triangle, 3 * triangle + 1, 3 * triangle + 2));
        }
    }

    /** Counts one at a vertex. */
    void addVertex(Mesh mesh, int vertex) {
        if (addOne()) {
            float[] p = mesh.positions();
            places.add(new Place.Point(p[3 * vertex], p[3 * vertex + 1], p[3 * vertex + 2]));
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
        if (count > 0) {
            found.add(
                    new Finding(kind, severity, count, count == 1 ? "1 " + one : String.format(Locale.ROOT, "%,d %s", count, many), remedy,
                            places));
        }
    }
}
