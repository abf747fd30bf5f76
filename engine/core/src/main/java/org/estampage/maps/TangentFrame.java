package org.estampage.maps;

import org.estampage.bake.SurfaceHits;

/** Vectors of object space in the low poly's tangent frame: through the inverse of exactly the frame that a shader has. */
final class TangentFrame {
    /** Frames with a smaller determinant are taken as flat; the determinant of a healthy frame is near 1. */
    private static final float LEAST_DETERMINANT = 1e-12f;

    private TangentFrame() {
    }

    /**
     * Writes the unit vector in the tangent frame of a vector of any length.
     *
     * @param i    three times the number of the sample
     * @param dest xyz at {@code i}; 0, 0, 1 where the frame has no volume
     */
    static void write(SurfaceHits hits, int i, float hx, float hy, float hz, float[] dest) {
        float tx = hits.tangents[i], ty = hits.tangents[i + 1], tz = hits.tangents[i + 2];
        float bx = hits.bitangents[i], by = hits.bitangents[i + 1], bz = hits.bitangents[i + 2];
        float nx = hits.normals[i], ny = hits.normals[i + 1], nz = hits.normals[i + 2];
        // Rows of the inverse frame are cross products over the determinant; its sign is all that matters before normalising.
        float cx = ty * bz - tz * by, cy = tz * bx - tx * bz, cz = tx * by - ty * bx;
        float determinant = cx * nx + cy * ny + cz * nz;
        if (!(Math.abs(determinant) > LEAST_DETERMINANT)) {
            dest[i] = 0;
            dest[i + 1] = 0;
            dest[i + 2] = 1;
            return;
        }
        float sign = Math.signum(determinant);
        double x = sign * (hx * (by * nz - bz * ny) + hy * (bz * nx - bx * nz) + hz * (bx * ny - by * nx));
        double y = sign * (hx * (ny * tz - nz * ty) + hy * (nz * tx - nx * tz) + hz * (nx * ty - ny * tx));
        double z = sign * (hx * cx + hy * cy + hz * cz);
        double length = Math.sqrt(x * x + y * y + z * z);
        dest[i] = (float) (x / length);
        dest[i + 1] = (float) (y / length);
        dest[i + 2] = (float) (z / length);
    }
}
