package org.estampage.examples.editor.model;

import java.util.EnumSet;
import java.util.List;
import java.util.Set;

/**
 * What is to be baked.
 *
 * @param maps    which maps, in their usual order
 * @param size    the side of the maps in texels
 * @param samples n for n × n samples a texel
 * @param rays    how many rays a texel gets, of maps that look all around
 * @param tiled   whether charts outside the unit square lie on UDIM tiles; otherwise they are copies of charts within
 */
public record BakeSettings(List<MapChoice> maps, int size, int samples, int rays, boolean tiled) {
    /** Enough to judge a cage by. */
    public static final BakeSettings FIRST = new BakeSettings(List.of(MapChoice.NORMAL, MapChoice.OCCLUSION), 1024, 2, 64, true);

    /** Puts the maps in order. */
    public BakeSettings {
        maps = maps.stream().sorted().distinct().toList();
    }

    /** Returns these settings with or without a map. */
    public BakeSettings with(MapChoice map, boolean wanted) {
        Set<MapChoice> changed = EnumSet.noneOf(MapChoice.class);
        changed.addAll(maps);
        if (wanted) {
            changed.add(map);
        } else {
            changed.remove(map);
        }
        return new BakeSettings(List.copyOf(changed), size, samples, rays, tiled);
    }

    /** Returns these settings with another size. */
    public BakeSettings withSize(int value) {
        return new BakeSettings(maps, value, samples, rays, tiled);
    }

    /** Returns these settings with other samples. */
    public BakeSettings withSamples(int value) {
        return new BakeSettings(maps, size, value, rays, tiled);
    }

    /** Returns these settings with other rays. */
    public BakeSettings withRays(int value) {
        return new BakeSettings(maps, size, samples, value, tiled);
    }

    /** Returns these settings, with UDIM tiles or copies. */
    public BakeSettings withTiled(boolean value) {
        return new BakeSettings(maps, size, samples, rays, value);
    }
}
