package org.estampage.report;

import java.util.List;
import java.util.Optional;
import org.estampage.bake.BakeResult;
import org.estampage.bake.BakedTile;
import org.estampage.finding.Finding;
import org.estampage.finding.Place;
import org.estampage.mesh.Mesh;
import org.estampage.raster.UvTile;
import org.joml.Vector2f;
import org.joml.Vector2fc;
import org.joml.Vector3f;
import org.joml.Vector3fc;

/**
 * Finds where on the low poly, and where in its layout, a finding's places are.
 *
 * <p>Texels are those of the bake's images; numbers of triangles and vertices are taken for the low poly's where the finding is about UVs or the cage, which
 * only the low poly has. What can't be told stays a text.
 *
 * @threads immutable
 * @cost O(triangles) a place
 */
final class PlaceFinder {
    private final BakeResult result;
    private final Mesh low;
    private final float[] uvs;
    private final int[] uvIndices;

    PlaceFinder(BakeResult result) {
        this.result = result;
        low = result.low();
        uvs = low.uvSets().get(0).values();
        uvIndices = low.uvSets().get(0).indices();
    }

    /** Returns the places of a finding in its order. */
    List<Spot> spots(Finding finding) {
        boolean ofLow = finding.kind().contains("uv") || finding.kind().startsWith("charts-") || finding.kind().startsWith("copies-")
                || result.cage().findings().contains(finding);
        UvTile tile = result.tiles().stream().map(BakedTile::tile).filter(t -> finding.message().startsWith(t + ":")).findFirst()
                .orElse(result.tiles().get(0).tile());
        return finding.places().stream().map(place -> spot(place, tile, ofLow)).toList();
    }

    private Spot spot(Place place, UvTile tile, boolean ofLow) {
        return switch (place) {
            case Place.Texel texel -> atUv(texel.toString(), tile.column() + (texel.x() + 0.5) / result.job().width(),
                    tile.row() + 1 - (texel.y() + 0.5) / result.job().height());
            case Place.Point point -> new Spot(point.toString(), finite(new Vector3f(point.x(), point.y(), point.z())),
                    Optional.empty());
            case Place.Element element -> ofLow ? onLow(element) : new Spot(element.toString(), Optional.empty(), Optional.empty());
            case Place.Line line -> new Spot(line.toString(), Optional.empty(), Optional.empty());
            case Place.Byte offset -> new Spot(offset.toString(), Optional.empty(), Optional.empty());
        };
    }

    private Spot onLow(Place.Element element) {
        if (element.what().equals("triangle") && element.index() < low.triangleCount()) {
            int triangle = (int) element.index();
            return new Spot(element.toString(), finite(point(triangle, 1 / 3.0, 1 / 3.0)), finite(uv(triangle, 1 / 3.0, 1 / 3.0)));
        }
        return element.what().equals("vertex") && element.index() < low.vertexCount()
                ? atVertex(element.toString(), (int) element.index())
                : new Spot(element.toString(), Optional.empty(), Optional.empty());
    }

    private Spot atVertex(String text, int vertex) {
        float[] p = low.positions();
        Optional<Vector3fc> point = finite(new Vector3f(p[3 * vertex], p[3 * vertex + 1], p[3 * vertex + 2]));
        for (int corner = 0; corner < low.positionIndices().length; corner++) {
            if (low.positionIndices()[corner] == vertex) {
                int at = 2 * uvIndices[corner];
                return new Spot(text, point, finite(new Vector2f(uvs[at], uvs[at + 1])));
            }
        }
        return new Spot(text, point, Optional.empty());
    }

    private Spot atUv(String text, double u, double v) {
        int best = -1;
        double[] at = new double[2];
        double least = Double.POSITIVE_INFINITY;
        for (int t = 0; t < low.triangleCount() && least > 0; t++) {
            double[] weights = weights(t, u, v);
            double outside = Math.max(0, -Math.min(weights[0], Math.min(weights[1], 1 - weights[0] - weights[1])));
            if (outside < least) {
                least = outside;
                best = t;
                at = weights;
            }
        }
        // a covered texel whose middle is just beyond its chart's border still shows that chart's nearest triangle
        Optional<Vector3fc> point = best < 0 || least > 1 ? Optional.empty() : finite(point(best, at[0], at[1]));
        return new Spot(text, point, finite(new Vector2f((float) u, (float) v)));
    }

    /** Returns the weights of a triangle's second and third corner at a point of the layout; infinite for a triangle without area. */
    private double[] weights(int t, double u, double v) {
        int a = 2 * uvIndices[3 * t], b = 2 * uvIndices[3 * t + 1], c = 2 * uvIndices[3 * t + 2];
        double bu = uvs[b] - (double) uvs[a], bv = uvs[b + 1] - (double) uvs[a + 1];
        double cu = uvs[c] - (double) uvs[a], cv = uvs[c + 1] - (double) uvs[a + 1];
        double area = bu * cv - bv * cu;
        double du = u - uvs[a], dv = v - uvs[a + 1];
        return new double[] {(du * cv - dv * cu) / area, (bu * dv - bv * du) / area};
    }

    private Vector3fc point(int t, double second, double third) {
        Vector3f sum = new Vector3f();
        double[] weights = {1 - second - third, second, third};
        for (int k = 0; k < 3; k++) {
            int at = 3 * low.positionIndices()[3 * t + k];
            sum.add((float) (weights[k] * low.positions()[at]), (float) (weights[k] * low.positions()[at + 1]),
                    (float) (weights[k] * low.positions()[at + 2]));
        }
        return sum;
    }

    private Vector2fc uv(int t, double second, double third) {
        Vector2f sum = new Vector2f();
        double[] weights = {1 - second - third, second, third};
        for (int k = 0; k < 3; k++) {
            int at = 2 * uvIndices[3 * t + k];
            sum.add((float) (weights[k] * uvs[at]), (float) (weights[k] * uvs[at + 1]));
        }
        return sum;
    }

    private static Optional<Vector3fc> finite(Vector3fc p) {
        return p.isFinite() ? Optional.of(p) : Optional.empty();
    }

    private static Optional<Vector2fc> finite(Vector2fc p) {
        return p.isFinite() ? Optional.of(p) : Optional.empty();
    }
}
