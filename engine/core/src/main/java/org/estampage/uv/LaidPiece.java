package org.estampage.uv;

import org.estampage.mesh.Adjacency;
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
        double[] xyz = new double[3 * piece.vertexCount];
        int[] source = piece.sources(surface);
        for (int v = 0; v < source.length; v++) {
            System.arraycopy(surface.xyz, 3 * source[v], xyz, 3 * v, 3);
        }
        Flat flat = Flattening.flatten(new Patch(xyz, piece.corners), full ? Effort.FULL : Effort.QUICK, task);
        return new LaidPiece(piece, flat.uv, flat.distortion, flat.worstTriangle, id);
    }

    /** One triangle as it is, its longest edge along u. */
    private static double[] triangle(Surface surface, Piece piece) {
        int h = 3 * piece.triangles[0];
        int longest = h;
        for (int k = 1; k < 3; k++) {
            longest = surface.length(h + k) > surface.length(longest) ? h + k : longest;
        }
        double base = surface.length(longest);
        double side = surface.length(Adjacency.previous(longest));
        double height = base > 0 ? 2 * surface.area[piece.triangles[0]] / base : 0;
        double[] uv = new double[6];
        uv[2 * piece.corners[Adjacency.next(longest - h)]] = base;
        int top = piece.corners[Adjacency.previous(longest - h)];
        uv[2 * top] = Math.sqrt(Math.max(0, side * side - height * height));
        uv[2 * top + 1] = height;
        return uv;
    }
}
