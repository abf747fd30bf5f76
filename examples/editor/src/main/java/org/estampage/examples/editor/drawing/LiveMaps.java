package org.estampage.examples.editor.drawing;

import java.awt.image.BufferedImage;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import org.estampage.bake.BakedBlock;
import org.estampage.bake.BlockListener;
import org.estampage.bake.SurfaceMap;

/**
 * The maps of a bake while they come about: takes each block as it is done, and gives pictures that are transparent where nothing is yet.
 *
 * @threads blocks come from all workers of the bake; pictures can be asked for at any time, from any thread
 */
public final class LiveMaps implements BlockListener {
    private final int size;
    private final Map<String, LiveMap> maps = new LinkedHashMap<>();

    /**
     * Makes maps without a block.
     *
     * @param size the side of the maps in texels
     */
    public LiveMaps(int size, List<SurfaceMap> maps) {
        this.size = size;
        maps.forEach(map -> this.maps.put(map.name(), new LiveMap(size, map.format())));
    }

    @Override
    public void done(BakedBlock block) {
        boolean[] hit = block.hit(new boolean[block.width() * block.height()]);
        maps.forEach((name, map) -> map.put(block, block.values(name, new float[hit.length * map.channels()]), hit));
    }

    /** Returns the side of the maps in texels. */
    public int size() {
        return size;
    }

    /** Returns the maps' names in the job's order. */
    public List<String> names() {
        return List.copyOf(maps.keySet());
    }

    /**
     * Returns what there is of a map; a pixel may stand for several texels of a large one.
     *
     * @throws IllegalArgumentException if there is no such map
     */
    public BufferedImage picture(String name) {
        LiveMap map = maps.get(name);
        if (map == null) {
            throw new IllegalArgumentException("name = " + name + " must be one of " + names());
        }
        return map.picture();
    }
}
