package org.estampage.io.gltf;

import org.joml.Matrix3d;
import org.joml.Matrix4dc;
import org.joml.Vector3d;

/**
 * Takes vertices from a node's space to the mesh's. What need not change keeps its bits.
 *
 * @threads confined to one thread at a time
 */
final class Transform {
    private final Matrix4dc matrix;
    private final Matrix3d linear;
    /** Takes normals along, up to their length: the matrix of cofactors, which is there where the inverse is not. */
    private final Matrix3d cofactors;
    private final boolean moves;
    private final boolean turns;
    private final double handedness;

    Transform(Matrix4dc matrix) {
        this.matrix = matrix;
        linear = matrix.get3x3(new Matrix3d());
        cofactors = linear.cofactor(new Matrix3d());
        turns = !linear.equals(new Matrix3d());
        moves = turns || matrix.m30() != 0 || matrix.m31() != 0 || matrix.m32() != 0;
        handedness = linear.determinant() < 0 ? -1 : 1;
    }

    /** Returns whether the transform mirrors, so that triangles must be turned over. */
    boolean mirrors() {
        return handedness < 0;
    }

    void points(float[] inout, int from, int to) {
        Vector3d p = new Vector3d();
        for (int i = from; moves && i < to; i += 3) {
            put(matrix.transformPosition(p.set(inout[i], inout[i + 1], inout[i + 2])), inout, i);
        }
    }

    private static void put(Vector3d v, float[] dest, int at) {
        dest[at] = (float) v.x;
        dest[at + 1] = (float) v.y;
        dest[at + 2] = (float) v.z;
    }

    void normals(float[] inout, int from, int to) {
        Vector3d n = new Vector3d();
        for (int i = from; turns && i < to; i += 3) {
            cofactors.transform(n.set(inout[i], inout[i + 1], inout[i + 2])).mul(handedness);
            put(unit(n), inout, i);
        }
    }

    /** Tangents go with the surface; where it is mirrored, the bitangent comes to lie on the other side of normal × tangent. */
    void tangents(float[] inout, int from, int to) {
        Vector3d t = new Vector3d();
        for (int i = from; turns && i < to; i += 4) {
            put(unit(linear.transform(t.set(inout[i], inout[i + 1], inout[i + 2]))), inout, i);
            inout[i + 3] = (float) (handedness * inout[i + 3]);
        }
    }

    private static Vector3d unit(Vector3d v) {
        double length = v.length();
        return length > 0 ? v.div(length) : v;
    }
}
