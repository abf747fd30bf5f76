package org.estampage.examples.editor.model;

import java.util.Collections;
import java.util.List;
import org.estampage.bake.BakedBlock;
import org.estampage.bake.MapFormat;
import org.estampage.bake.RangeRule;
import org.estampage.image.Encoding;
import org.estampage.image.Range;

/**
 * One map of one tile while it comes about. Of a large one every few texels are kept: this is to watch, and costs a bake next to nothing.
 *
 * @threads safe for concurrent calls
 */
public final class LiveMap {
    /** More pixels a side than this no view shows of a map as a whole. */
    private static final int MOST = 1024;

    private final MapFormat format;
    private final int side;
    /** A kept texel stands for so many a side. */
    private final int step;
    private final float[] values;
    private final boolean[] there;
    private float least;
    private float most;

    LiveMap(int size, MapFormat format) {
        this.format = format;
        step = (size + MOST - 1) / MOST;
        side = (size + step - 1) / step;
        values = new float[side * side * format.channels()];
        there = new boolean[side * side];
    }

    /** Returns how many texels a side are kept. */
    public int side() {
        return side;
    }

    /** Returns the channels of a texel. */
    public int channels() {
        return format.channels();
    }

    /** Takes the texels of a block that met the high poly. */
    synchronized void put(BakedBlock block, float[] raw, boolean[] hit) {
        int channels = format.channels();
        for (int y = (block.y() + step - 1) / step; y * step < block.y() + block.height(); y++) {
            for (int x = (block.x() + step - 1) / step; x * step < block.x() + block.width(); x++) {
                int from = (y * step - block.y()) * block.width() + x * step - block.x();
                if (hit[from]) {
                    keep(raw, from * channels, y * side + x);
                }
            }
        }
    }

    private void keep(float[] raw, int from, int to) {
        there[to] = true;
        for (int k = 0; k < format.channels(); k++) {
            float value = raw[from + k];
            values[to * format.channels() + k] = value;
            least = Math.min(least, value);
            most = Math.max(most, value);
        }
    }

    /**
     * Copies a row out.
     *
     * @param destThere  which of its texels there are, {@link #side} long
     * @param destValues their values, channels interleaved
     */
    public synchronized void readRow(int y, boolean[] destThere, float[] destValues) {
        System.arraycopy(there, y * side, destThere, 0, side);
        System.arraycopy(values, y * side * channels(), destValues, 0, side * channels());
    }

    /** Returns how its values become stored ones: by the map's own ranges, or where only the whole bake gives them, by what the values so far span. */
    public synchronized Encoding encoding() {
        return new Encoding(format.kind(), ranges());
    }

    private List<Range> ranges() {
        if (format.range() instanceof RangeRule.Fixed fixed) {
            return fixed.ranges();
        }
        float far = Math.max(-least, most);
        return Collections.nCopies(format.channels(), least < 0 ? Range.symmetric(far) : new Range(0, most));
    }
}
