package org.estampage.testresources;

/**
 * A turned outline: a polyline in the half plane (radius, height) whose corners are rounded with arcs, addressed by arc length.
 *
 * @units metres
 * @threads immutable
 */
final class TurnedProfile {
    /** Pieces: start length, start point, start direction, signed curvature (positive turns left; 0 is a line). */
    private final double[] startLength;
    private final double[] startRadius;
    private final double[] startHeight;
    private final double[] startAngle;
    private final double[] curvature;
    private final int pieceCount;
    private final double length;

    /**
     * Rounds a polyline.
     *
     * @param corners radius, height, rounding radius of each corner; the rounding of the first and the last does not count
     * @throws IllegalArgumentException if two roundings overlap
     */
    TurnedProfile(double... corners) {
        int count = corners.length / 3;
        int capacity = 2 * count;
        startLength = new double[capacity];
        startRadius = new double[capacity];
        startHeight = new double[capacity];
        startAngle = new double[capacity];
        curvature = new double[capacity];
        double x = corners[0];
        double y = corners[1];
        double travelled = 0;
        int piece = 0;
        for (int i = 1; i < count; i++) {
            double nextX = corners[3 * i];
            double nextY = corners[3 * i + 1];
            double angle = StrictMath.atan2(nextY - corners[3 * i - 2], nextX - corners[3 * i - 3]);
            double cut = 0;
            double turn = 0;
            if (i < count - 1) {
                turn = wrap(StrictMath.atan2(corners[3 * i + 4] - nextY, corners[3 * i + 3] - nextX) - angle);
                cut = corners[3 * i + 2] * StrictMath.tan(Math.abs(turn) / 2);
            }
            double straight = (nextX - x) * StrictMath.cos(angle) + (nextY - y) * StrictMath.sin(angle) - cut;
            if (straight < 0) {
                throw new IllegalArgumentException("rounding of corner " + i + " is too large by " + -straight);
            }
            piece = add(piece, travelled, x, y, angle, 0);
            travelled += straight;
            x += straight * StrictMath.cos(angle);
            y += straight * StrictMath.sin(angle);
            if (cut > 0) {
                double radius = corners[3 * i + 2];
                piece = add(piece, travelled, x, y, angle, Math.signum(turn) / radius);
                travelled += radius * Math.abs(turn);
                x = nextX + cut * StrictMath.cos(angle + turn);
                y = nextY + cut * StrictMath.sin(angle + turn);
            }
        }
        pieceCount = piece;
        length = travelled;
    }

    private int add(int piece, double travelled, double x, double y, double angle, double bend) {
        startLength[piece] = travelled;
        startRadius[piece] = x;
        startHeight[piece] = y;
        startAngle[piece] = angle;
        curvature[piece] = bend;
        return piece + 1;
    }

    private static double wrap(double angle) {
        double a = angle;
        while (a > Math.PI) {
            a -= 2 * Math.PI;
        }
        while (a < -Math.PI) {
            a += 2 * Math.PI;
        }
        return a;
    }

    /** Returns the length of the whole outline. */
    double length() {
        return length;
    }

    /** Returns the arc length at which piece {@code i} starts; lines and arcs take turns. */
    double pieceStart(int i) {
        return startLength[i];
    }

    /**
     * Finds the point at an arc length.
     *
     * @param dest radius, height, and the outward normal's radial and upward parts
     */
    void at(double s, double[] dest) {
        int piece = pieceCount - 1;
        while (piece > 0 && startLength[piece] > s) {
            piece--;
        }
        double d = s - startLength[piece];
        double bend = curvature[piece];
        double angle = startAngle[piece] + bend * d;
        if (bend == 0) {
            dest[0] = startRadius[piece] + d * StrictMath.cos(angle);
            dest[1] = startHeight[piece] + d * StrictMath.sin(angle);
        } else {
            dest[0] = startRadius[piece] + (StrictMath.sin(angle) - StrictMath.sin(startAngle[piece])) / bend;
            dest[1] = startHeight[piece] - (StrictMath.cos(angle) - StrictMath.cos(startAngle[piece])) / bend;
        }
        // The outline runs from the bottom outwards and up, so the outside is on its right.
        dest[2] = StrictMath.sin(angle);
        dest[3] = -StrictMath.cos(angle);
    }
}
