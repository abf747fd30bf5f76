package org.estampage.examples.editor.model;

import org.estampage.finding.Place;
import org.estampage.mesh.Mesh;
import org.joml.Vector3d;
import org.joml.Vector3dc;
import org.jspecify.annotations.Nullable;

/** A place that a view can show. */
public sealed interface Spot {
    /**
     * A texel of the maps.
     *
     * @param tile the number of its tile
     * @param x column, 0 on the left
     * @param y row, 0 on top
     */
    record InMap(int tile, int x, int y) implements Spot {
    }

    /**
     * A point of a mesh.
     *
     * @param point where
     */
    record InSpace(Vector3dc point) implements Spot {
        /** Copies the point. */
        public InSpace {
            point = new Vector3d(point);
        }
    }

    /**
     * Returns the spot of a place, or null where it has none that can be shown, such as a line of a file.
     *
     * @param mesh whose triangles and vertices are meant; null when unknown
     * @param tile whose texels are meant
     */
    static @Nullable Spot of(Place place, @Nullable Mesh mesh, int tile) {
        return switch (place) {
            case Place.Texel texel -> new InMap(tile, texel.x(), texel.y());
            case Place.Point point -> new InSpace(new Vector3d(point.x(), point.y(), point.z()));
            case Place.Element element -> mesh == null ? null : ofElement(element.what(), element.index(), mesh);
            case Place.Line line -> null;
            case Place.Byte offset -> null;
        };
    }

    private static @Nullable Spot ofElement(String what, long index, Mesh mesh) {
        if (what.equals("triangle") && index < mesh.triangleCount()) {
            Vector3d middle = new Vector3d();
            for (int corner = 0; corner < 3; corner++) {
                middle.add(vertex(mesh, mesh.positionIndices()[3 * (int) index + corner]));
            }
            return new InSpace(middle.div(3));
        }
        return what.equals("vertex") && index < mesh.vertexCount() ? new InSpace(vertex(mesh, (int) index)) : null;
    }

    private static Vector3d vertex(Mesh mesh, int vertex) {
        float[] p = mesh.positions();
        return new Vector3d(p[3 * vertex], p[3 * vertex + 1], p[3 * vertex + 2]);
    }
}
