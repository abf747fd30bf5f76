package org.estampage.bake;

import java.util.List;
import org.estampage.image.FloatImage;
import org.estampage.image.Mask;
import org.estampage.raster.UvTile;

/**
 * A block of texels that a bake has just done: its raw values, before padding, and before texels share rays.
 *
 * @space texels; row 0 on top
 * @threads confined to the call that it was handed to
 */
public final class BakedBlock {
    private final TileBake tile;
    private final List<SurfaceMap> maps;
    private final int x;
    private final int y;
    private final int width;
    private final int height;

    BakedBlock(TileBake tile, List<SurfaceMap> maps, int x, int y, int width, int height) {
        this.tile = tile;
        this.maps = maps;
        this.x = x;
        this.y = y;
        this.width = width;
        this.height = height;
    }

    /** Returns of which unit square's image it is a part. */
    public UvTile tile() {
        return tile.tile;
    }

    /** Returns its leftmost column in the image. */
    public int x() {
        return x;
    }

    /** Returns its upper row in the image. */
    public int y() {
        return y;
    }

    /** Returns how many columns it has. */
    public int width() {
        return width;
    }

    /** Returns how many rows it has. */
    public int height() {
        return height;
    }

    /** Returns the names of the maps that are baked, in the job's order. */
    public List<String> maps() {
        return maps.stream().map(SurfaceMap::name).toList();
    }

    /**
     * Copies a map's raw values out; texels that met nothing have the map's background.
     *
     * @param map  one of {@link #maps}
     * @param dest row by row from the top, channels interleaved; at least width × height × channels long
     * @return {@code dest}
     * @throws IllegalArgumentException if there is no such map, or {@code dest} is too short
     */
    public float[] values(String map, float[] dest) {
        for (int m = 0; m < maps.size(); m++) {
            if (maps.get(m).name().equals(map)) {
                FloatImage image = tile.images.get(m).values();
                return image.read(x, y, width, height, dest);
            }
        }
        throw new IllegalArgumentException("map = \"" + map + "\" must be one of " + maps());
    }

    /**
     * Copies out which texels met the high poly.
     *
     * @param dest row by row from the top, at least width × height long
     * @return {@code dest}
     * @throws IllegalArgumentException if {@code dest} is too short
     */
    public boolean[] hit(boolean[] dest) {
        if (dest.length < width * height) {
            throw new IllegalArgumentException("dest has " + dest.length + " entries and needs " + width * height);
        }
        Mask hit = tile.hit;
        synchronized (hit) { // other blocks are merged into it
            for (int i = 0; i < width * height; i++) {
                dest[i] = hit.get(x + i % width, y + i / width);
            }
        }
        return dest;
    }
}
