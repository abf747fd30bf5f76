package org.estampage.uv;

import org.estampage.mesh.Adjacency;
import org.estampage.task.Task;
import org.jspecify.annotations.Nullable;

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
    /** Whether it is a band laid out straight, along u. */
    final boolean straight;

    private LaidPiece(Piece piece, double[] uv, double distortion, double worst, int id, boolean straight) {
        this.piece = piece;
        this.uv = uv;
        this.distortion = distortion;
        this.worst = worst;
        this.id = id;
        this.straight = straight;
    }

    static LaidPiece of(Surface surface, Piece piece, int id, boolean full, Task task) {
        if (piece.triangles.length == 1) {
            return new LaidPiece(piece, triangle(surface, piece), 1, 1, id, false);
        }
        Flat flat = Flattening.flatten(patch(surface, piece), full ? Effort.FULL : Effort.QUICK, task);
        return new LaidPiece(piece, flat.uv, flat.distortion, flat.worstTriangle, id, false);
    }

    /** Returns the same laid out straight; itself where it is a band that would be distorted more, and null where it is none. */
    @Nullable
    LaidPiece straightened(Surface surface, double largestDistortion, Task task) {
        if (piece.triangles.length == 1 || !Double.isFinite(distortion)) {
            return null;
        }
        Strip.Outcome outcome = Strip.of(patch(surface, piece), uv, task);
        Flat flat = outcome.straight;
        if (!outcome.band) {
            return null;
        }
        return flat != null && flat.distortion <= largestDistortion && flat.worstTriangle <= Charting.WORST_TRIANGLE
                ? new LaidPiece(piece, flat.uv, flat.distortion, flat.worstTriangle, id, true)
                : this;
    }

    private static Patch patch(Surface surface, Piece piece) {
        double[] xyz = new double[3 * piece.vertexCount];
        int[] source = piece.sources(surface);
        for (int v = 0; v < source.length; v++) {
            System.arraycopy(surface.xyz, 3 * source[v], xyz, 3 * v, 3);
        }
        return new Patch(xyz, piece.corners);
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
