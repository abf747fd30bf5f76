package org.estampage.lowpoly;

import java.util.function.DoubleUnaryOperator;
import org.estampage.mesh.Axis;
import org.estampage.mesh.Mesh;
import org.joml.Quaterniondc;
import org.joml.Vector3d;
import org.joml.Vector3dc;

/** Closed high polys with a known outline. */
final class Revolved {
    private Revolved() {
    }

    /**
     * Turns r(h), h from 0 to {@code height}, about an axis through {@code (centreA, centreB)} of the plane, with flat ends.
     *
     * @param radius the radius at a height and an angle
     */
    static Mesh of(Radius radius, double height, int sides, int rings, Axis axis, double centreA, double centreB, double low) {
        int a = (axis.component() + 1) % 3;
        int b = (axis.component() + 2) % 3;
        int c = axis.component();
        float[] p = new float[3 * (sides * rings + 2)];
        for (int i = 0; i < rings; i++) {
            double h = height * i / (rings - 1);
            for (int j = 0; j < sides; j++) {
                double angle = 2 * Math.PI * j / sides;
                double r = radius.at(h, angle);
                int at = 3 * (i * sides + j);
                p[at + a] = (float) (centreA + r * StrictMath.cos(angle));
                p[at + b] = (float) (centreB + r * StrictMath.sin(angle));
                p[at + c] = (float) (low + h);
            }
        }
        for (int end = 0; end < 2; end++) {
            int at = 3 * (sides * rings + end);
            p[at + a] = (float) centreA;
            p[at + b] = (float) centreB;
            p[at + c] = (float) (low + end * height);
        }
        int[] corners = new int[6 * sides * rings];
        int at = 0;
        for (int i = 0; i + 1 < rings; i++) {
            for (int j = 0; j < sides; j++) {
                int k = i * sides + j;
                int l = i * sides + (j + 1) % sides;
                for (int v : new int[] {k, l, l + sides, k, l + sides, k + sides}) {
                    corners[at++] = v;
                }
            }
        }
        for (int j = 0; j < sides; j++) {
            int next = (j + 1) % sides;
            int top = (rings - 1) * sides;
            for (int v : new int[] {sides * rings, next, j, sides * rings + 1, top + j, top + next}) {
                corners[at++] = v;
            }
        }
        return Mesh.builder(p, corners).name("post-high").build();
    }

    static Mesh about(Axis axis, double height, int sides, int rings, DoubleUnaryOperator radius) {
        return of((h, angle) -> radius.applyAsDouble(h), height, sides, rings, axis, 0, 0, 0);
    }

    /** Turns a mesh, then shifts it. */
    static Mesh moved(Mesh mesh, Quaterniondc turn, Vector3dc shift) {
        float[] p = mesh.positions().clone();
        Vector3d v = new Vector3d();
        for (int i = 0; i < p.length; i += 3) {
            turn.transform(v.set(p[i], p[i + 1], p[i + 2])).add(shift);
            p[i] = (float) v.x;
            p[i + 1] = (float) v.y;
            p[i + 2] = (float) v.z;
        }
        return Mesh.builder(p, mesh.positionIndices()).name(mesh.name()).build();
    }

    interface Radius {
        double at(double height, double angle);
    }
}
