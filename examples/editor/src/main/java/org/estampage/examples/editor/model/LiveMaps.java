package org.estampage.examples.editor.model;

import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.concurrent.ConcurrentHashMap;
import org.estampage.bake.BakedBlock;
import org.estampage.bake.BlockListener;
import org.estampage.bake.MapFormat;
import org.estampage.bake.SurfaceMap;
import org.estampage.raster.UvTile;

/**
 * The maps of a bake while they come about: takes each block as it is done.
 *
 * @threads blocks come from all workers of the bake; maps can be asked for at any time, from any thread
 */
public final class LiveMaps implements BlockListener {
    private final int size;
    private final List<Integer> tiles;
    private final Map<String, MapFormat> formats = new LinkedHashMap<>();
    /** By tile, then by name; a tile's are made when its first block comes. */
    private final Map<Integer, Map<String, LiveMap>> maps = new ConcurrentHashMap<>();

    /**
     * Makes maps without a block.
     *
     * @param size  the side of the maps in texels
     * @param tiles the numbers of the tiles that are baked
     */
    LiveMaps(int size, List<Integer> tiles, List<SurfaceMap> maps) {
        this.size = size;
        this.tiles = List.copyOf(tiles);
        maps.forEach(map -> formats.put(map.name(), map.format()));
    }

    @Override
    public void done(BakedBlock block) {
        boolean[] hit = block.hit(new boolean[block.width() * block.height()]);
        ofTile(block.tile().number())
                .forEach((name, map) -> map.put(block, block.values(name, new float[hit.length * map.channels()]), hit));
    }

    private Map<String, LiveMap> ofTile(int tile) {
        return maps.computeIfAbsent(tile, number -> {
            Map<String, LiveMap> made = new LinkedHashMap<>();
            formats.forEach((name, format) -> made.put(name, new LiveMap(size, format)));
            return made;
        });
    }

    /** Returns the side of the maps in texels. */
    public int size() {
        return size;
    }

    /** Returns the numbers of the tiles that are baked, rising; {@link UvTile#UNIT}'s alone unless there are several. */
    public List<Integer> tiles() {
        return tiles;
    }

    /** Returns the maps' names in the job's order. */
    public List<String> names() {
        return List.copyOf(formats.keySet());
    }

    /**
     * Returns what there is of a map.
     *
     * @param tile the number of its tile
     * @throws IllegalArgumentException if there is no such map
     */
    public LiveMap map(int tile, String name) {
        LiveMap map = ofTile(tile).get(name);
        if (map == null) {
            throw new IllegalArgumentException("name = " + name + " must be one of " + names());
        }
        return map;
    }
}
