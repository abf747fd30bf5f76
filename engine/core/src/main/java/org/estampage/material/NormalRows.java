package org.estampage.material;

/**
 * Loops over rows of normals: xyz interleaved, tangent space, green up.
 *
 * @threads stateless
 */
final class NormalRows {
    /** The least z that a slope is taken over: steeper ones, and normals that point inwards, count as this steep, about 89.9°. */
    static final float LEAST_Z = 1e-3f;

    private NormalRows() {
    }

    /** Brings a row's normals to unit length; those without a length or with one that a float can't hold become (0, 0, 1). */
    static void unit(float[] row) {
        for (int i = 0; i < row.length; i += 3) {
            float x = row[i], y = row[i + 1], z = row[i + 2];
            float square = x * x + y * y + z * z;
            if (square > 0 && square < Float.POSITIVE_INFINITY) {
                float scale = 1f / (float) Math.sqrt(square);
                row[i] = x * scale;
                row[i + 1] = y * scale;
                row[i + 2] = z * scale;
            } else {
                flat(row, i);
            }
        }
    }

    /** Brings normals to unit length; where that is not possible the one of {@code otherwise} stands. */
    static void unitOr(float[] row, float[] otherwise) {
        for (int i = 0; i < row.length; i += 3) {
            float x = row[i], y = row[i + 1], z = row[i + 2];
            float square = x * x + y * y + z * z;
            if (square > 0 && square < Float.POSITIVE_INFINITY) {
                float scale = 1f / (float) Math.sqrt(square);
                row[i] = x * scale;
                row[i + 1] = y * scale;
                row[i + 2] = z * scale;
            } else {
                System.arraycopy(otherwise, i, row, i, 3);
            }
        }
    }

    private static void flat(float[] row, int i) {
        row[i] = 0;
        row[i + 1] = 0;
        row[i + 2] = 1;
    }

    /** Turns green over. */
    static void turnGreen(float[] row) {
        for (int i = 1; i < row.length; i += 3) {
            row[i] = -row[i];
        }
    }

    /** Multiplies the slopes of unit normals; the results have unit length. */
    static void scaleSlopes(float[] row, float strength) {
        if (strength == 1) {
            return; // to the bit, normals that point inwards, too
        }
        for (int i = 0; i < row.length; i += 3) {
            scaleSlope(row, i, strength);
        }
    }

    /** Multiplies the slopes of unit normals by a strength and a weight each; the results have unit length. */
    static void scaleSlopes(float[] row, float strength, float[] weights) {
        for (int i = 0; i < row.length; i += 3) {
            float s = strength * weights[i / 3];
            if (s != 1) {
                scaleSlope(row, i, s);
            }
        }
    }

    private static void scaleSlope(float[] row, int i, float strength) {
        float x = strength * row[i], y = strength * row[i + 1], z = Math.max(LEAST_Z, row[i + 2]);
        float scale = 1f / (float) Math.sqrt(x * x + y * y + z * z);
        row[i] = x * scale;
        row[i + 1] = y * scale;
        row[i + 2] = z * scale;
    }

    /** Lays unit normals over unit normals; {@code dest} is another array than both. */
    static void lay(NormalMethod method, float[] base, float[] detail, float[] dest) {
        switch (method) {
            case REORIENTED -> reoriented(base, detail, dest);
            case SLOPES_ADDED -> slopesAdded(base, detail, dest);
            case XY_ADDED_Z_MULTIPLIED -> zMultiplied(base, detail, dest);
            case XY_ADDED_Z_KEPT -> zKept(base, detail, dest);
            case XYZ_ADDED -> xyzAdded(base, detail, dest);
            case XYZ_EXCHANGED -> exchanged(base, detail, dest);
            case STORED_MULTIPLIED -> storedMultiplied(base, detail, dest);
        }
        unitOr(dest, base);
    }

    private static void reoriented(float[] b, float[] d, float[] dest) {
        for (int i = 0; i < dest.length; i += 3) {
            float tx = b[i], ty = b[i + 1], tz = b[i + 2] + 1;
            float ux = -d[i], uy = -d[i + 1], uz = d[i + 2];
            // t/t.z times t·u, less u; a base that points straight inwards has no shortest turn, and stays.
            float k = (tx * ux + ty * uy + tz * uz) / tz;
            dest[i] = tx * k - ux;
            dest[i + 1] = ty * k - uy;
            dest[i + 2] = tz * k - uz;
        }
    }

    private static void slopesAdded(float[] b, float[] d, float[] dest) {
        for (int i = 0; i < dest.length; i += 3) {
            float bz = Math.max(LEAST_Z, b[i + 2]), dz = Math.max(LEAST_Z, d[i + 2]);
            dest[i] = b[i] * dz + d[i] * bz;
            dest[i + 1] = b[i + 1] * dz + d[i + 1] * bz;
            dest[i + 2] = bz * dz;
        }
    }

    private static void zMultiplied(float[] b, float[] d, float[] dest) {
        for (int i = 0; i < dest.length; i += 3) {
            dest[i] = b[i] + d[i];
            dest[i + 1] = b[i + 1] + d[i + 1];
            dest[i + 2] = b[i + 2] * d[i + 2];
        }
    }

    private static void zKept(float[] b, float[] d, float[] dest) {
        for (int i = 0; i < dest.length; i += 3) {
            dest[i] = b[i] + d[i];
            dest[i + 1] = b[i + 1] + d[i + 1];
            dest[i + 2] = b[i + 2];
        }
    }

    private static void xyzAdded(float[] b, float[] d, float[] dest) {
        for (int i = 0; i < dest.length; i++) {
            dest[i] = b[i] + d[i];
        }
    }

    private static void exchanged(float[] b, float[] d, float[] dest) {
        for (int i = 0; i < dest.length; i += 3) {
            float x = b[i], y = b[i + 1], z = b[i + 2], dx = d[i], dy = d[i + 1], dz = d[i + 2];
            dest[i] = dx * z + dy * x + dz * x;
            dest[i + 1] = dx * y + dy * z + dz * y;
            dest[i + 2] = -dx * x - dy * y + dz * z;
        }
    }

    private static void storedMultiplied(float[] b, float[] d, float[] dest) {
        for (int i = 0; i < dest.length; i++) {
            // With stored values s = (n + 1)/2: 2 s t below one half, 1 − 2 (1 − s)(1 − t) above, brought back by 2 r − 1.
            dest[i] = b[i] < 0 ? (b[i] + 1) * (d[i] + 1) - 1 : 1 - (1 - b[i]) * (1 - d[i]);
        }
    }
}
