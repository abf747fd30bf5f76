package org.estampage.maps;

import java.util.List;
import java.util.Optional;
import org.estampage.bake.HemisphereAnswers;
import org.estampage.bake.MapFormat;
import org.estampage.bake.RangeRule;
import org.estampage.bake.Reduction;
import org.estampage.bake.SurfaceHits;
import org.estampage.bvh.HemisphereQuery;
import org.estampage.image.Encoding;
import org.estampage.image.Range;
import org.estampage.mesh.Axis;
import org.jspecify.annotations.Nullable;

/**
 * The mean direction in which the half space above the high poly is open. Asked for with the rays of an {@link OcclusionMap}, it costs none of its own.
 *
 * @space tangent, as {@link NormalMap}: +X along rising u, +Y along rising v, +Z out; or object space
 * @units unit length; or, {@link #keepingLength}, the mean of the open directions, of length 0 … 1: the longer, the closer they keep together; 2/3 where
 *        all is open to cosine-weighted rays
 * @edge where nothing is open: the high poly's normal; keeping lengths, the zero vector; the bake counts such texels in a finding
 * @threads immutable
 */
public final class BentNormalMap extends OpennessMap<BentNormalMap> {
    /**
     * Length of what a closed sample gives: the normal, so that a texel without any open ray still has a direction, but so short that it turns the mean of
     * open ones by less than 0.1° (one open ray of 64 has length 1/64).
     */
    private static final float CLOSED = 1e-5f;

    private final boolean objectSpace;
    private final boolean keepsLength;

    private BentNormalMap(HemisphereQuery query, @Nullable Axis upFromLowest, boolean objectSpace, boolean keepsLength) {
        super(query, upFromLowest);
        this.objectSpace = objectSpace;
        this.keepsLength = keepsLength;
    }

    /**
     * Returns the tangent-space map with so many rays a texel, weighted by the cosine, of unlimited reach.
     *
     * @throws IllegalArgumentException if {@code raysPerTexel} is not 1 … 65536
     */
    public static BentNormalMap create(int raysPerTexel) {
        return new BentNormalMap(cosine(raysPerTexel), null, false, false);
    }

    @Override
    BentNormalMap with(HemisphereQuery changed, @Nullable Axis newUpFromLowest) {
        return new BentNormalMap(changed, newUpFromLowest, objectSpace, keepsLength);
    }

    /** Returns the map in object space. */
    public BentNormalMap objectSpace() {
        return new BentNormalMap(query(), upFromLowest(), true, keepsLength);
    }

    /** Returns the map whose vectors are left as long as the mean of the open directions is, plain data between −1 and 1. */
    public BentNormalMap keepingLength() {
        return new BentNormalMap(query(), upFromLowest(), objectSpace, true);
    }

    /** Returns the console's call that makes this map. */
    @Override
    public String toString() {
        return call("bentNormal").option(objectSpace, "objectSpace").option(keepsLength, "keepingLength").toString();
    }

    @Override
    public Optional<String> recipe() {
        return Optional.of(toString());
    }

    @Override
    public String name() {
        return "bent-normal";
    }

    @Override
    public MapFormat format() {
        RangeRule.Fixed range = new RangeRule.Fixed(List.of(Range.SIGNED_UNIT, Range.SIGNED_UNIT, Range.SIGNED_UNIT));
        List<Float> background = objectSpace ? List.of(0f, 0f, 0f) : List.of(0f, 0f, 1f);
        return new MapFormat(keepsLength ? Encoding.Kind.DATA : Encoding.Kind.NORMAL, range, background, 16, true);
    }

    @Override
    public Optional<String> standsForClosed() {
        return Optional.of(keepsLength ? "the zero vector" : "the high poly's normal");
    }

    @Override
    public Reduction reduction() {
        return keepsLength ? Reduction.MEAN : Reduction.NORMALISED_MEAN;
    }

    @Override
    public void evaluate(SurfaceHits hits, HemisphereAnswers answers, float[] dest) {
        HemisphereAnswers.Sums sums = answers.of(0);
        for (int s = 0; s < hits.size(); s++) {
            int i = 3 * s;
            float x = sums.direction[i], y = sums.direction[i + 1], z = sums.direction[i + 2];
            float length = (float) Math.sqrt((double) x * x + (double) y * y + (double) z * z);
            // Of a few open rays the directions may cancel out, too.
            boolean closed = !(length > CLOSED * sums.rays[s]);
            if (closed) {
                x = hits.highNormals[i];
                y = hits.highNormals[i + 1];
                z = hits.highNormals[i + 2];
            }
            if (objectSpace) {
                float scale = closed ? 1f : 1f / length;
                dest[i] = x * scale;
                dest[i + 1] = y * scale;
                dest[i + 2] = z * scale;
            } else {
                TangentFrame.write(hits, i, x, y, z, dest);
            }
            float scale = scale(closed, length, sums, s);
            dest[i] *= scale;
            dest[i + 1] *= scale;
            dest[i + 2] *= scale;
        }
    }

    /** Returns how long the vector of a sample is to be. */
    private float scale(boolean closed, float length, HemisphereAnswers.Sums sums, int s) {
        if (closed) {
            return keepsLength ? 0f : CLOSED;
        }
        return length / (keepsLength ? sums.open[s] : sums.rays[s]);
    }
}
