package org.estampage.examples.editor.drawing;

import java.awt.image.BufferedImage;
import java.util.Collections;
import java.util.List;
import org.estampage.bake.BakedBlock;
import org.estampage.bake.MapFormat;
import org.estampage.bake.RangeRule;
import org.estampage.image.Encoding;
import org.estampage.image.Range;

/**
 * One map while it comes about. Of a large one every few texels are kept: this is to watch, and costs a bake next to nothing.
 *
 * @threads safe for concurrent calls
 */
final class LiveMap {
    /** More pixels a side than this no view shows of a map as a whole. */
    private static final int MOST = 1024;

    private final MapFormat format;
    private final int side;
    /** A kept texel stands for so many a side. */
    private final int step;
    private final float[] values;
    private final boolean[] there;

    LiveMap(int size, MapFormat format) {
        this.format = format;
        step = (size + MOST - 1) / MOST;
        side = (size + step - 1) / step;
        values = new float[side * side * format.channels()];
        there = new boolean[side * side];
    }

    int channels() {
        return format.channels();
    }

    /** Takes the texels of a block that met the high poly. */
    synchronized void put(BakedBlock block, float[] raw, boolean[] hit) {
        int channels = format.channels();
        for (int y = (block.y() + step - 1) / step; y * step < block.y() + block.height(); y++) {
            for (int x = (block.x() + step - 1) / step; x * step < block.x() + block.width(); x++) {
                int from = (y * step - block.y()) * block.width() + x * step - block.x(), to = y * side + x;
                if (hit[from]) {
                    there[to] = true;
                    System.arraycopy(raw, from * channels, values, to * channels, channels);
                }
            }
        }
    }

    synchronized BufferedImage picture() {
        TexelColours colours = new TexelColours(new Encoding(format.kind(), ranges()), MapLook.ALL);
        int[] pixels = new int[there.length];
        for (int i = 0; i < pixels.length; i++) {
            pixels[i] = there[i] ? colours.argb(values, i * format.channels()) : 0;
        }
        BufferedImage picture = new BufferedImage(side, side, BufferedImage.TYPE_INT_ARGB_PRE);
        picture.getRaster().setDataElements(0, 0, side, side, pixels);
        return picture;
    }

    /** The map's own ranges, or where only the whole bake gives them, what the values so far span. */
    private List<Range> ranges() {
        if (format.range() instanceof RangeRule.Fixed fixed) {
            return fixed.ranges();
        }
        float least = 0, most = 0;
        for (float value : values) {
            least = Math.min(least, value);
            most = Math.max(most, value);
        }
        float far = Math.max(-least, most);
        return Collections.nCopies(format.channels(), least < 0 ? Range.symmetric(far) : new Range(0, most));
    }
}
