package org.estampage.bake;

import org.estampage.mesh.Mesh;

/**
 * Writes what maps see of a sample that hit.
 *
 * @threads confined to the destination's
 */
final class HitWriter {
    private final LowPoly low;
    private final HighPoly high;
    private final FrameRule frame;
    private final double[] face = new double[3];

    HitWriter(Scene scene) {
        low = scene.low;
        high = scene.high;
        frame = scene.job.frameRule();
    }

    /** Writes the hit of sample {@code s} as number {@code n}. */
    void write(Projection p, int s, SurfaceHits dest, int n) {
        int triangle = p.hitTriangle[s];
        int i = 3 * n;
        int c = 3 * p.samples.triangle[s];
        float b1 = p.samples.b1[s], b2 = p.samples.b2[s], b0 = 1f - b1 - b2;
        dest.lowTriangles[n] = p.samples.triangle[s];
        dest.lowB1[n] = b1;
        dest.lowB2[n] = b2;
        for (int k = 0; k < 3; k++) {
            dest.lowPositions[i + k] = LowPoly.mix(low.positions, 3 * c + k, b0, b1, b2);
            dest.normals[i + k] = LowPoly.mix(low.normals, 3 * c + k, b0, b1, b2);
            dest.tangents[i + k] = LowPoly.mix(low.tangents, 3 * c + k, b0, b1, b2);
        }
        switch (frame) {
            case AS_INTERPOLATED ->
                LowPoly.bitangent(dest.normals, dest.tangents, i, low.handedness[c], dest.bitangents, i);
            case RENORMALISED -> {
                normalise(dest.normals, i);
                normalise(dest.tangents, i);
                LowPoly.bitangent(dest.normals, dest.tangents, i, low.handedness[c], dest.bitangents, i);
            }
            case BITANGENT_INTERPOLATED -> {
                for (int k = 0; k < 3; k++) {
                    dest.bitangents[i + k] = LowPoly.mix(low.bitangents, 3 * c + k, b0, b1, b2);
                }
            }
        }
        dest.directions[i] = p.directionX[s];
        dest.directions[i + 1] = p.directionY[s];
        dest.directions[i + 2] = p.directionZ[s];
        dest.heights[n] = p.outward[s] - p.hitT[s];
        dest.highB1[n] = p.hitB1[s];
        dest.highB2[n] = p.hitB2[s];
        int mesh = high.meshOf(triangle);
        dest.highMeshes[n] = mesh;
        dest.highTriangles[n] = triangle - high.firstTriangle[mesh];
        highPoint(dest, n, triangle);
    }

    private static void normalise(float[] v, int i) {
        double length = Math.sqrt((double) v[i] * v[i] + (double) v[i + 1] * v[i + 1] + (double) v[i + 2] * v[i + 2]);
        if (length > 0) {
            v[i] = (float) (v[i] / length);
            v[i + 1] = (float) (v[i + 1] / length);
            v[i + 2] = (float) (v[i + 2] / length);
        }
    }

    /** Sets position and unit normal of the high poly; where its normals cancel out, the face's. */
    private void highPoint(SurfaceHits dest, int n, int triangle) {
        Mesh all = high.all;
        float[] p = all.positions();
        int[] corners = all.positionIndices();
        int c0 = 3 * triangle;
        float b1 = dest.highB1[n], b2 = dest.highB2[n], b0 = 1f - b1 - b2;
        int p0 = 3 * corners[c0], p1 = 3 * corners[c0 + 1], p2 = 3 * corners[c0 + 2];
        int n0 = 3 * high.normalIndices[c0], n1 = 3 * high.normalIndices[c0 + 1], n2 = 3 * high.normalIndices[c0 + 2];
        double square = 0;
        for (int k = 0; k < 3; k++) {
            dest.highPositions[3 * n + k] = b0 * p[p0 + k] + b1 * p[p1 + k] + b2 * p[p2 + k];
            float v = b0 * high.normals[n0 + k] + b1 * high.normals[n1 + k] + b2 * high.normals[n2 + k];
            dest.highNormals[3 * n + k] = v;
            square += (double) v * v;
        }
        if (square > 1e-12) {
            double scale = 1 / Math.sqrt(square);
            for (int k = 0; k < 3; k++) {
                dest.highNormals[3 * n + k] = (float) (dest.highNormals[3 * n + k] * scale);
            }
        } else {
            high.writeFaceNormal(triangle, face);
            for (int k = 0; k < 3; k++) {
                dest.highNormals[3 * n + k] = (float) face[k];
            }
        }
    }
}
