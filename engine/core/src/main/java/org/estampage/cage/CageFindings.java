package org.estampage.cage;

import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import org.estampage.finding.Finding;
import org.estampage.finding.Place;
import org.estampage.task.Task;

/** What is said about a cage from the cage and its low poly alone. */
final class CageFindings {
    /** A prism whose Jacobian falls below this part of the low triangle's own counts as folded: rays nearly meet there. */
    static final double LEAST_PRISM = 1e-3;

    private CageFindings() {
    }

    static List<Finding> withoutDirection(Shell shell) {
        List<Place> places = new ArrayList<>();
        long count = 0;
        for (int n = 0; n < shell.nodeCount; n++) {
            if (!shell.hasDirection(n)) {
                count++;
                add(places, vertex(shell, n));
            }
        }
        return count == 0
                ? List.of()
                : List.of(Finding.warning("no-cage-direction", count,
                        "at " + counted(count, "low-poly vertex", "low-poly vertices") + " no direction sees all faces around it",
                        "open or remove the fold there: rays from the cage can't reach all of its faces", places));
    }

    static List<Finding> inverted(Shell shell, double[] moves, double[] directions) {
        List<Place> places = new ArrayList<>();
        long count = 0;
        for (int t = 0; t < shell.triangleCount; t++) {
            if (isInverted(shell, moves, directions, t)) {
                count++;
                add(places, new Place.Element("triangle", t));
            }
        }
        return count == 0
                ? List.of()
                : List.of(Finding.warning("inverted-cage-prisms", count,
                        "over " + counted(count, "low-poly triangle", "low-poly triangles") + " the space up to the cage folds over itself",
                        "use a smaller offset or a fitted cage, or refine the low poly there", places));
    }

    static List<Finding> selfCrossings(Shell shell, double[] moves) {
        return selfCrossings(new Crossings(null, shell.nodePositions(moves), shell.triangles, Task.silent()).findOwn());
    }

    static List<Finding> selfCrossings(long[] pairs) {
        List<Place> places = new ArrayList<>();
        for (long pair : pairs) {
            add(places, new Place.Element("triangle", pair >>> 32));
        }
        return pairs.length == 0
                ? List.of()
                : List.of(Finding.warning("cage-self-crossings", pairs.length,
                        counted(pairs.length, "pair of cage triangles crosses", "pairs of cage triangles cross"),
                        "use smaller offsets where two parts of the low poly face each other: a ray from there starts inside the other part",
                        places));
    }

    static boolean isInverted(Shell shell, double[] moves, double[] directions, int t) {
        return shell.hasArea(t) && !(prism(shell, moves, directions, t) > LEAST_PRISM);
    }

    static double prism(Shell shell, double[] moves, double[] directions, int t) {
        return Prisms.least(shell.xyz, moves, directions, shell.triangles[3 * t], shell.triangles[3 * t + 1], shell.triangles[3 * t + 2]);
    }

    static List<Finding> inside(Shell shell, double[] moves) {
        List<Place> places = new ArrayList<>();
        long count = 0;
        double deepest = 0;
        for (int n = 0; n < shell.nodeCount; n++) {
            double out = 0;
            for (int k = 0; k < 3; k++) {
                out += moves[3 * n + k] * shell.directions[3 * n + k];
            }
            if (out < 0) {
                count++;
                deepest = Math.max(deepest, -out);
                add(places, vertex(shell, n));
            }
        }
        return count == 0
                ? List.of()
                : List.of(Finding.warning("cage-inside", count,
                        String.format(Locale.ROOT, "%s inside the low poly, up to %.4g deep",
                                counted(count, "cage vertex lies", "cage vertices lie"), deepest),
                        "move them out of the low poly: rays there start below the surface", places));
    }

    static List<Finding> split(Shell shell, float[] roof, double[] moves) {
        // a cage file rounds to about seven digits, a tear that someone sees is far larger
        double tolerance = 1e-5 * Math.max(shell.mesh.bounds().diagonal(), Double.MIN_NORMAL);
        List<Place> places = new ArrayList<>();
        boolean[] seen = new boolean[shell.nodeCount];
        long count = 0;
        for (int v = 0; v < shell.nodes.length; v++) {
            int n = shell.nodes[v];
            if (n < 0 || seen[n]) {
                continue;
            }
            double square = 0;
            for (int k = 0; k < 3; k++) {
                double e = roof[3 * v + k] - shell.xyz[3 * n + k] - moves[3 * n + k];
                square += e * e;
            }
            if (square > tolerance * tolerance) {
                seen[n] = true;
                count++;
                add(places, new Place.Element("vertex", v));
            }
        }
        return count == 0
                ? List.of()
                : List.of(Finding.warning("torn-cage", count,
                        "at " + counted(count, "place", "places")
                                + " vertices that share a low-poly position have different cage positions",
                        "their mean was taken; weld the cage there", places));
    }

    static Place vertex(Shell shell, int node) {
        return new Place.Element("vertex", shell.vertexOf[node]);
    }

    static void add(List<Place> places, Place place) {
        if (places.size() < Finding.MAX_PLACES) {
            places.add(place);
        }
    }

    static String counted(long count, String one, String many) {
        return count == 1 ? "1 " + one : String.format(Locale.ROOT, "%,d %s", count, many);
    }
}
