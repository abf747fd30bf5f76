package org.estampage.examples.editor.drawing;

import java.awt.image.BufferedImage;
import java.util.ArrayList;
import java.util.List;
import org.estampage.bake.BakeResult;
import org.estampage.bake.BakedTile;
import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.image.Mask;
import org.estampage.task.Task;

/**
 * A map as it looks on a screen: its pixels, smaller ones for looking from afar, and what its texels can tell.
 *
 * @threads immutable by contract
 */
public final class MapSheet {
    /** The colour of texels of which no sample met anything, and of those of which some did not; 0xAARRGGBB. */
    public static final int MISSED = 0xFFFF2D95;
    /** The colour of texels of which some samples met nothing. */
    public static final int PARTLY_MISSED = 0xFFFFC13B;
    private static final int BAND = 64;
    private static final int SMALLEST = 64;

    private final BakeResult result;
    private final MapLook look;
    private final FloatImage values;
    private final List<BufferedImage> levels;

    private MapSheet(BakeResult result, MapLook look, FloatImage values, List<BufferedImage> levels) {
        this.result = result;
        this.look = look;
        this.values = values;
        this.levels = List.copyOf(levels);
    }

    /**
     * Draws a map.
     *
     * @throws java.util.concurrent.CancellationException if the task was cancelled
     */
    public static MapSheet draw(BakeResult result, MapLook look, Task task) {
        BakedTile tile = result.tile(look.tile());
        FloatImage values = tile.map(look.map());
        BufferedImage full = new BufferedImage(values.width(), values.height(), BufferedImage.TYPE_INT_ARGB_PRE);
        TexelColours colours = new TexelColours(values.encoding(), look.channel());
        float[] band = new float[values.width() * BAND * values.channels()];
        int[] row = new int[values.width()];
        Mask covered = tile.covered();
        for (int y = 0; y < values.height(); y++) {
            if (y % BAND == 0) {
                task.check();
                values.read(0, y, values.width(), Math.min(BAND, values.height() - y), band);
            }
            for (int x = 0; x < row.length; x++) {
                boolean shown = look.padded() || covered.get(x, y);
                row[x] = shown ? colours.argb(band, (y % BAND * row.length + x) * values.channels()) : 0;
            }
            full.getRaster().setDataElements(0, y, row.length, 1, row);
        }
        if (look.misses()) {
            markMisses(tile, full);
        }
        return new MapSheet(result, look, values, smaller(full, task));
    }

    private static void markMisses(BakedTile tile, BufferedImage inout) {
        Mask covered = tile.covered(), hit = tile.hit();
        tile.missCauses().ifPresent(causes -> {
            for (int y = 0; y < inout.getHeight(); y++) {
                for (int x = 0; x < inout.getWidth(); x++) {
                    if (covered.get(x, y) && causes.get(x, y, 0) > 0) {
                        inout.setRGB(x, y, hit.get(x, y) ? PARTLY_MISSED : MISSED);
                    }
                }
            }
        });
    }

    /** Returns the image and halves of it, so that a map seen from afar does not shimmer. */
    private static List<BufferedImage> smaller(BufferedImage full, Task task) {
        List<BufferedImage> levels = new ArrayList<>(List.of(full));
        while (Math.min(levels.getLast().getWidth(), levels.getLast().getHeight()) > SMALLEST) {
            task.check();
            levels.add(Halved.of(levels.getLast()));
        }
        return levels;
    }

    /** Returns how it is looked at. */
    public MapLook look() {
        return look;
    }

    /** Returns the bake that the map is of. */
    public BakeResult result() {
        return result;
    }

    /** Returns the tile that the map is of. */
    public BakedTile tile() {
        return result.tile(look.tile());
    }

    /** Returns the width in texels. */
    public int width() {
        return values.width();
    }

    /** Returns the height in texels. */
    public int height() {
        return values.height();
    }

    /** Returns the picture that suits a magnification: with at most a pixel and a half a screen's pixel, and at least one. */
    public BufferedImage level(double magnification) {
        int level = 0;
        while (level + 1 < levels.size() && magnification * (1 << level) <= 0.75) {
            level++;
        }
        return levels.get(level);
    }

    /** Returns a texel's pixel, 0xAARRGGBB. */
    public int argb(int x, int y) {
        return levels.getFirst().getRGB(x, y);
    }

    /** Returns how raw values become stored ones. */
    public Encoding encoding() {
        return values.encoding();
    }

    /** Returns a texel's raw values. */
    public float[] raw(int x, int y) {
        float[] raw = new float[values.channels()];
        for (int channel = 0; channel < raw.length; channel++) {
            raw[channel] = values.get(x, y, channel);
        }
        return raw;
    }
}
