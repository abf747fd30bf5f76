package org.estampage.maps;

import java.util.List;
import org.estampage.bake.HemisphereAnswers;
import org.estampage.bake.MapFormat;
import org.estampage.bake.RangeRule;
import org.estampage.bake.Reduction;
import org.estampage.bake.SurfaceHits;
import org.estampage.bake.SurfaceMap;
import org.estampage.image.Encoding;

/**
 * The high poly's normal in the tangent frame of the low poly: the normal through the inverse of exactly that frame, then unit length.
 *
 * @space tangent: +X along rising u, +Y along rising v, +Z out
 * @edge where the frame has no volume (UVs without area) the normal is taken as flat
 * @threads immutable
 */
public final class NormalMap implements SurfaceMap {
    /** Frames with a smaller determinant are taken as flat; the determinant of a healthy frame is near 1. */
    private static final float LEAST_DETERMINANT = 1e-12f;

    private final boolean greenDown;

    private NormalMap(boolean greenDown) {
        this.greenDown = greenDown;
    }

    /** Returns the map with green up, as glTF 2.0 has it. */
    public static NormalMap create() {
        return new NormalMap(false);
    }

    /** Returns the map whose integer files store green against +Y; raw values stay the same. */
    public NormalMap greenDown() {
        return new NormalMap(true);
    }

    @Override
    public String name() {
        return "normal";
    }

    @Override
    public MapFormat format() {
        Encoding encoding = greenDown ? Encoding.normalGreenDown() : Encoding.normal();
        return new MapFormat(Encoding.Kind.NORMAL, new RangeRule.Fixed(encoding.ranges()), List.of(0f, 0f, 1f), 16, true);
    }

    @Override
    public Reduction reduction() {
        return Reduction.NORMALISED_MEAN;
    }

    @Override
    public void evaluate(SurfaceHits hits, HemisphereAnswers answers, float[] dest) {
        for (int i = 0; i < 3 * hits.size(); i += 3) {
            float tx = hits.tangents[i], ty = hits.tangents[i + 1], tz = hits.tangents[i + 2];
            float bx = hits.bitangents[i], by = hits.bitangents[i + 1], bz = hits.bitangents[i + 2];
            float nx = hits.normals[i], ny = hits.normals[i + 1], nz = hits.normals[i + 2];
            float hx = hits.highNormals[i], hy = hits.highNormals[i + 1], hz = hits.highNormals[i + 2];
            // Rows of the inverse frame are cross products over the determinant; its sign is all that matters before normalising.
            float cx = ty * bz - tz * by, cy = tz * bx - tx * bz, cz = tx * by - ty * bx;
            float determinant = cx * nx + cy * ny + cz * nz;
            if (!(Math.abs(determinant) > LEAST_DETERMINANT)) {
                dest[i] = 0;
                dest[i + 1] = 0;
                dest[i + 2] = 1;
                continue;
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
}
