package org.estampage.bake;

import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.image.Mask;
import org.estampage.raster.UvTile;

/**
 * What a bake gave of one unit square of UV space: an image of each map, and what was hit and missed there.
 *
 * @threads immutable by contract
 */
public final class BakedTile {
    /** Darker than all colours of causes. */
    private static final float HIT_GREY = 0.3f;

    private final UvTile tile;
    private final Map<String, BakedMap> maps = new LinkedHashMap<>();
    private final Mask covered;
    private final Mask hit;
    private final Mask full;
    private final Optional<FloatImage> missCauses;

    BakedTile(UvTile tile, List<BakedMap> maps, Mask covered, Mask hit, Mask full, Optional<FloatImage> missCauses) {
        this.tile = tile;
        maps.forEach(map -> this.maps.put(map.name(), map));
        this.covered = covered;
        this.hit = hit;
        this.full = full;
        this.missCauses = missCauses;
    }

    /** Returns which unit square this is. */
    public UvTile tile() {
        return tile;
    }

    /** Returns its UDIM number; 1001 is the square from 0 to 1. */
    public int number() {
        return tile.number();
    }

    /** Returns the maps in the job's order. */
    public List<BakedMap> maps() {
        return List.copyOf(maps.values());
    }

    /**
     * Returns a map's raw values.
     *
     * @throws IllegalArgumentException if there is no such map; the message names those that there are
     */
    public FloatImage map(String name) {
        BakedMap map = maps.get(name);
        if (map == null) {
            throw new IllegalArgumentException(
                    "no map is called \"" + name + "\"; this bake has " + String.join(", ", maps.keySet())
                            + ": take one of them, or add it to maps(…)");
        }
        return map.image();
    }

    /** Returns the texels that a chart touches. */
    public Mask covered() {
        return covered;
    }

    /** Returns the texels of which at least one sample met the high poly. */
    public Mask hit() {
        return hit;
    }

    /** Returns the texels all of whose samples lie in charts and met the high poly: padding goes by their slopes. */
    Mask full() {
        return full;
    }

    /** Returns this tile with other maps. */
    BakedTile with(List<BakedMap> others) {
        return new BakedTile(tile, others, covered, hit, full, missCauses);
    }

    /** Returns a map with its encoding and what is told of it, if there is one of this name. */
    Optional<BakedMap> baked(String name) {
        return Optional.ofNullable(maps.get(name));
    }

    /** Returns how many texels a chart touches. */
    public long coveredCount() {
        return covered.count();
    }

    /** Returns how many texels a chart touches without any sample meeting the high poly. */
    public long missedCount() {
        return (long) covered.count() - hit.count();
    }

    /**
     * Returns why samples met nothing: for each texel the {@link MissCause#number} that most of its missed samples have, the lowest of equals, and 0 where all
     * samples hit or there is none; empty if no sample was missed.
     */
    public Optional<FloatImage> missCauses() {
        return missCauses;
    }

    /** Returns a picture of {@link #missCauses}: each cause in its own flat colour, texels without a missed sample grey, black where no chart is. */
    public FloatImage missPicture() {
        int width = covered.width();
        FloatImage picture = FloatImage.create(width, covered.height(), Encoding.id(3));
        float[] causes = new float[width];
        float[] row = new float[3 * width];
        for (int y = 0; y < covered.height(); y++) {
            if (missCauses.isPresent()) {
                missCauses.get().read(0, y, width, 1, causes);
            }
            for (int x = 0; x < width; x++) {
                for (int c = 0; c < 3; c++) {
                    row[3 * x + c] = causes[x] > 0 ? MissCause.of((int) causes[x]).colour(c) : covered.get(x, y) ? HIT_GREY : 0;
                }
            }
            picture.write(0, y, width, 1, row);
        }
        return picture;
    }
}
