package org.estampage.preview;

import java.util.ArrayList;
import java.util.List;
import org.estampage.mesh.Bounds;
import org.estampage.mesh.Mesh;

/** Finds the distance and the middle of a picture, so that meshes fill it. */
final class Framing {
    /** Meshes take this part of the picture's narrower side at most. */
    private static final double FILL = 0.9;
    /** Room for the points that are not looked at. */
    private static final double MARGIN = 1.01;
    /** The eye comes no closer than this times the way from the middle to the nearest point. */
    private static final double LEAST_DISTANCE = 1.05;
    /** So many vertices are looked at: those left out between them stick out by less than the margin. */
    private static final int MOST_POINTS = 100_000;
    /** Each round comes closer by the ratio of depth to distance, a half at worst. */
    private static final int ROUNDS = 30;
    /** A picture that is filled to one part of so many needs no other round. */
    private static final double CLOSE = 1e-4;

    private final Vector middle;
    /** Half the bounds' diagonal. */
    private final double radius;
    /** From the middle to beyond the farthest point. */
    private final double farthest;
    private final double[] points;

    Framing(List<Mesh> meshes) {
        Bounds bounds = Bounds.around(meshes);
        double[] m = bounds.middle();
        middle = new Vector(m[0], m[1], m[2]);
        radius = Math.max(bounds.diagonal() / 2, Float.MIN_NORMAL);
        List<double[]> parts = new ArrayList<>();
        int length = 0;
        for (Mesh mesh : meshes) {
            int step = 1 + mesh.vertexCount() / MOST_POINTS, count = (mesh.vertexCount() + step - 1) / step;
            double[] part = new double[3 * count];
            for (int i = 0; i < part.length; i++) {
                part[i] = mesh.positions()[3 * step * (i / 3) + i % 3] - m[i % 3];
            }
            parts.add(part);
            length += part.length;
        }
        points = new double[length];
        int at = 0;
        for (double[] part : parts) {
            System.arraycopy(part, 0, points, at, part.length);
            at += part.length;
        }
        double most = 0;
        for (int i = 0; i < length; i += 3) {
            most = Math.max(most, points[i] * points[i] + points[i + 1] * points[i + 1] + points[i + 2] * points[i + 2]);
        }
        farthest = Math.clamp(MARGIN * Math.sqrt(most), Float.MIN_NORMAL, radius);
    }

    /** Returns the middle of the bounds. */
    Vector middle() {
        return middle;
    }

    /** Returns a camera with perspective at a distance from the middle of the bounds, which it looks at. */
    Camera at(Aim aim, double distance, double halfWidth, double halfHeight) {
        return new Camera(aim, middle.plus(distance, aim.toward()), true, 0, 0, halfWidth, halfHeight);
    }

    /** Returns cameras with perspective, one a side, all at the one distance and with the one middle that make the meshes fill the picture. */
    List<Camera> around(List<Aim> aims, double halfWidth, double halfHeight) {
        double distance = radius / Math.min(halfWidth, halfHeight) + radius;
        double[] box = new double[5];
        for (int round = 0; round < ROUNDS; round++) {
            box = seen(aims, distance);
            double times = Math.max((box[1] - box[0]) / halfWidth, (box[3] - box[2]) / halfHeight) / (2 * FILL);
            // What is nearest keeps its size if the eye moves in proportion to the way there.
            distance = Math.max(box[4] + (distance - box[4]) * times, Math.max(LEAST_DISTANCE * box[4], radius * 1e-3));
            if (Math.abs(times - 1) < CLOSE) {
                break;
            }
        }
        double x = (box[0] + box[1]) / 2, y = (box[2] + box[3]) / 2, d = distance;
        return aims.stream().map(aim -> new Camera(aim, middle.plus(d, aim.toward()), true, x, y, halfWidth, halfHeight)).toList();
    }

    /** Returns the least and the largest x, then y, of all points in all pictures, and how far the nearest comes towards the eye. */
    private double[] seen(List<Aim> aims, double distance) {
        double inf = Double.POSITIVE_INFINITY;
        double[] box = {inf, -inf, inf, -inf, -inf};
        for (Aim aim : aims) {
            for (int i = 0; i < points.length; i += 3) {
                double px = points[i], py = points[i + 1], pz = points[i + 2];
                double z = aim.toward().dot(px, py, pz);
                double scale = 1 / Math.max(distance - z, distance * 1e-3);
                double x = aim.right().dot(px, py, pz) * scale, y = aim.up().dot(px, py, pz) * scale;
                box[0] = Math.min(box[0], x);
                box[1] = Math.max(box[1], x);
                box[2] = Math.min(box[2], y);
                box[3] = Math.max(box[3], y);
                box[4] = Math.max(box[4], z);
            }
        }
        return box;
    }

    /** Returns a camera without perspective that sees all from any side, at one scale. */
    Camera flat(Aim aim) {
        return new Camera(aim, middle.plus(2 * radius, aim.toward()), false, 0, 0, farthest, farthest);
    }
}
