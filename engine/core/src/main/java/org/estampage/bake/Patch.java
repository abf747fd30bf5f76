package org.estampage.bake;

import java.util.List;
import java.util.Optional;
import org.estampage.finding.Finding;
import org.estampage.finding.Place;
import org.estampage.image.FloatImage;
import org.estampage.image.Mask;

/**
 * A region that is baked anew within an earlier bake, which has all other texels.
 *
 * @threads immutable
 */
final class Patch {
    final BakeResult earlier;
    final TexelRegion region;

    /**
     * Checks that the two fit a job.
     *
     * @throws IllegalArgumentException if the earlier bake has another size, other tiles, lacks a map, or the region is not within one of its images
     */
    Patch(BakeJob job, BakeResult earlier, TexelRegion region) {
        this.earlier = earlier;
        this.region = region;
        BakeJob before = earlier.job();
        if (before.width() != job.width() || before.height() != job.height() || before.isUdim() != job.isUdim()) {
            throw new IllegalArgumentException(
                    "the earlier bake has " + size(before) + ", the job " + size(job) + ": they must be the same");
        }
        BakedTile tile = earlier.tile(region.tile().number());
        if (region.x() + region.width() > job.width() || region.y() + region.height() > job.height()) {
            throw new IllegalArgumentException(
                    "region " + region + " must lie within the image of " + job.width() + " × " + job.height() + " texels");
        }
        for (SurfaceMap map : job.maps()) {
            Optional<FloatImage> image = tile.baked(map.name()).map(BakedMap::image);
            if (image.isEmpty() || image.get().channels() != map.format().channels()) {
                throw new IllegalArgumentException("the earlier bake has no " + map.name() + " of " + map.format().channels()
                        + " channels: a region can be baked anew only of maps that are there");
            }
        }
    }

    private static String size(BakeJob job) {
        return job.width() + " × " + job.height() + " texels" + (job.isUdim() ? " on UDIM tiles" : "");
    }

    /** Returns what there is to say of a result that is of two bakes. */
    Finding finding() {
        return Finding.note("baked-in-part", (long) region.width() * region.height(),
                "only the " + region.width() + " × " + region.height() + " texels from (" + region.x() + ", " + region.y() + ") on of tile "
                        + region.tile().number() + " are of this bake, all others of an earlier one",
                "nothing, unless the high poly changed elsewhere, too: then bake all of it",
                List.of(new Place.Texel(region.x(), region.y())));
    }

    /** Gives a tile everything of the earlier bake that lies outside of the region. */
    void complete(TileBake tile, List<SurfaceMap> maps) {
        BakedTile before = earlier.tile(tile.tile.number());
        tile.covered = joined(tile, tile.covered, before.covered());
        tile.full = joined(tile, tile.full, before.full());
        for (int m = 0; m < maps.size(); m++) {
            SurfaceMap map = maps.get(m);
            complete(tile, map.format(), tile.images.get(m).values(), before.map(map.name()), before.hit());
        }
        tile.hit = joined(tile, tile.hit, before.hit());
        before.missCauses().ifPresent(causes -> tile.misses.complete(causes, (x, y) -> isNew(tile, x, y)));
    }

    private boolean isNew(TileBake tile, int x, int y) {
        return tile.tile.equals(region.tile()) && region.contains(x, y);
    }

    private Mask joined(TileBake tile, Mask now, Mask before) {
        Mask mask = new Mask(now.width(), now.height());
        for (int y = 0; y < now.height(); y++) {
            for (int x = 0; x < now.width(); x++) {
                if ((isNew(tile, x, y) ? now : before).get(x, y)) {
                    mask.set(x, y);
                }
            }
        }
        return mask;
    }

    /** Fills in the earlier values of texels that hit, which padding leaves as they are, and the background elsewhere. */
    private void complete(TileBake tile, MapFormat format, FloatImage inoutValues, FloatImage before, Mask hitBefore) {
        int width = inoutValues.width(), channels = inoutValues.channels();
        float[] row = new float[width * channels], old = new float[width * channels];
        for (int y = 0; y < inoutValues.height(); y++) {
            inoutValues.read(0, y, width, 1, row);
            before.read(0, y, width, 1, old);
            for (int i = 0; i < row.length; i++) {
                int x = i / channels;
                if (!isNew(tile, x, y)) {
                    row[i] = hitBefore.get(x, y) ? old[i] : format.background().get(i % channels);
                }
            }
            inoutValues.write(0, y, width, 1, row);
        }
    }
}
