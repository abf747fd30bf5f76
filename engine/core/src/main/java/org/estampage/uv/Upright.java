package org.estampage.uv;

import java.util.Arrays;

/**
 * A flat chart turned so that it fills its bounding rectangle best, the longer side along u, the lower left corner at the origin.
 *
 * @threads immutable by contract
 */
final class Upright {
    private static final int TURNS = 32;
    private static final double[] COSINE = new double[TURNS];
    private static final double[] SINE = new double[TURNS];

    static {
        for (int turn = 0; turn < TURNS; turn++) {
            COSINE[turn] = StrictMath.cos(Math.PI / 2 * turn / TURNS);
            SINE[turn] = StrictMath.sin(Math.PI / 2 * turn / TURNS);
        }
    }

    /** Where the chart's vertices lie. */
    final double[] uv;
    /** Extent along u. */
    final double width;
    /** Extent along v. */
    final double height;

    private Upright(double[] uv, double width, double height) {
        this.uv = uv;
        this.width = width;
        this.height = height;
    }

    /** Turns a chart: of 32 angles the one with the smallest rectangle, the first of equals. */
    static Upright of(LaidPiece chart) {
        int[] border = border(chart.piece);
        double[] best = {};
        double[] box = new double[4];
        int bestTurn = 0;
        for (int turn = 0; turn < TURNS; turn++) {
            measure(chart.uv, border, turn, box);
            // Equal but for rounding is equal: a square's chart should not turn by the last bit of a product.
            if (turn == 0 || (box[2] - box[0]) * (box[3] - box[1]) < (1 - 1e-9) * (best[2] - best[0]) * (best[3] - best[1])) {
                best = box.clone();
                bestTurn = turn;
            }
        }
        double width = best[2] - best[0];
        double height = best[3] - best[1];
        boolean lie = height > width;
        double[] uv = new double[chart.uv.length];
        for (int i = 0; i < uv.length; i += 2) {
            double x = x(chart.uv, i / 2, bestTurn) - best[0];
            double y = y(chart.uv, i / 2, bestTurn) - best[1];
            // A quarter turn lays it down.
            uv[i] = lie ? height - y : x;
            uv[i + 1] = lie ? x : y;
        }
        return new Upright(uv, Math.max(width, height), Math.min(width, height));
    }

    private static double x(double[] uv, int v, int turn) {
        return COSINE[turn] * uv[2 * v] - SINE[turn] * uv[2 * v + 1];
    }

    private static double y(double[] uv, int v, int turn) {
        return SINE[turn] * uv[2 * v] + COSINE[turn] * uv[2 * v + 1];
    }

    private static int[] border(Piece piece) {
        boolean[] known = new boolean[piece.vertexCount];
        int[] number = new int[piece.loop.length];
        int count = 0;
        for (int h : piece.loop) {
            int v = piece.corners[3 * Arrays.binarySearch(piece.triangles, h / 3) + h % 3];
            if (!known[v]) {
                known[v] = true;
                number[count++] = v;
            }
        }
        return Arrays.copyOf(number, count);
    }

    private static void measure(double[] uv, int[] border, int turn, double[] box) {
        box[0] = Double.POSITIVE_INFINITY;
        box[1] = Double.POSITIVE_INFINITY;
        box[2] = Double.NEGATIVE_INFINITY;
        box[3] = Double.NEGATIVE_INFINITY;
        for (int v : border) {
            double x = x(uv, v, turn);
            double y = y(uv, v, turn);
            box[0] = Math.min(box[0], x);
            box[1] = Math.min(box[1], y);
            box[2] = Math.max(box[2], x);
            box[3] = Math.max(box[3], y);
        }
    }
}
