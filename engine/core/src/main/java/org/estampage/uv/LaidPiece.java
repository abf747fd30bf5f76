package org.estampage.uv;

import org.estampage.task.Task;

/**
 * A disk with its flat shape.
 *
 * @shape uv: two numbers a vertex of the piece
 * @units the surface's
 * @threads immutable by contract
 */
final class LaidPiece {
    /** Which triangles. */
    final Piece piece;
    /** Where its vertices lie. */
    final double[] uv;
    /** Symmetric Dirichlet energy, 1 for an isometry. */
    final double distortion;
    /** That of its worst triangle. */
    final double worst;
    /** A number that no other laid piece of the same run has. */
    final int id;

    private LaidPiece(Piece piece, double[] uv, double distortion, double worst, int id) {
        this.piece = piece;
        this.uv = uv;
        this.distortion = distortion;
        this.worst = worst;
        this.id = id;
    }

    static LaidPiece of(Surface surface, Piece piece, int id, boolean full, Task task) {
        if (piece.triangles.length == 1) {
            return new LaidPiece(piece, triangle(surface, piece), 1, 1, id);
        }
        return standIn(surface, piece, id);
    }

    /** One triangle as it is, its longest edge along u. */
    private static double[] triangle(Surface surface, Piece piece) {
        int h = 3 * piece.triangles[0];
        int longest = h;
        for (int k = 1; k < 3; k++) {
            longest = surface.length(h + k) > surface.length(longest) ? h + k : longest;
        }
        double base = surface.length(longest);
        double side = surface.length(Surface.previous(longest));
        double height = base > 0 ? 2 * surface.area[piece.triangles[0]] / base : 0;
        double[] uv = new double[6];
        uv[2 * piece.corners[Surface.next(longest - h)]] = base;
        int top = piece.corners[Surface.previous(longest - h)];
        uv[2 * top] = Math.sqrt(Math.max(0, side * side - height * height));
        uv[2 * top + 1] = height;
        return uv;
    }

    private static LaidPiece standIn(Surface s, Piece piece, int id) {
        double[] n = new double[3];
        for (int t : piece.triangles) {
            for (int k = 0; k < 3; k++) {
                n[k] += s.area[t] * s.normal[3 * t + k];
            }
        }
        double l = Math.sqrt(n[0] * n[0] + n[1] * n[1] + n[2] * n[2]);
        double[] e = Math.abs(n[0]) < 0.6 * l ? new double[] {1, 0, 0} : new double[] {0, 1, 0};
        double[] u = {n[1] * e[2] - n[2] * e[1], n[2] * e[0] - n[0] * e[2], n[0] * e[1] - n[1] * e[0]};
        double ul = Math.sqrt(u[0] * u[0] + u[1] * u[1] + u[2] * u[2]);
        double[] uv = new double[2 * piece.vertexCount];
        int[] src = piece.sources(s);
        for (int v = 0; v < piece.vertexCount; v++) {
            for (int k = 0; k < 3; k++) {
                uv[2 * v] += s.xyz[3 * src[v] + k] * u[k] / ul;
            }
            double[] w = {(n[1] * u[2] - n[2] * u[1]) / ul / l, (n[2] * u[0] - n[0] * u[2]) / ul / l, (n[0] * u[1] - n[1] * u[0]) / ul / l};
            for (int k = 0; k < 3; k++) {
                uv[2 * v + 1] += s.xyz[3 * src[v] + k] * w[k];
            }
        }
        double worst = 1;
        double sum = 0;
        for (int t : piece.triangles) {
            double c = (s.normal[3 * t] * n[0] + s.normal[3 * t + 1] * n[1] + s.normal[3 * t + 2] * n[2]) / l;
            double d = s.area[t] == 0 ? 1 : c <= 0 ? 1e9 : (1 + c * c + 1 + 1 / (c * c)) / 4;
            worst = Math.max(worst, d);
            sum += s.area[t] * d;
        }
        return new LaidPiece(piece, uv, piece.area > 0 ? sum / piece.area : 1, worst, id);
    }
}
