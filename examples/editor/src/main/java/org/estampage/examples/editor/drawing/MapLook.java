package org.estampage.examples.editor.drawing;

/**
 * How a map is looked at.
 *
 * @param tile     the number of the tile that it is of; see {@link org.estampage.bake.BakeResult#tile}
 * @param map      its name
 * @param channel  which channel alone, as grey, from 0; {@link #ALL} for all as colour
 * @param padded   whether what was continued beyond the charts is shown
 * @param misses   whether texels that met nothing are marked
 */
public record MapLook(int tile, String map, int channel, boolean padded, boolean misses) {
    /** All channels. */
    public static final int ALL = -1;
}
