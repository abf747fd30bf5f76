package org.estampage.image;

import java.util.List;
import org.estampage.task.Task;

/**
 * An image that repeats in all directions, to be looked up at any place and any level of its {@link Mips}, so that a lookup sees neither single texels nor
 * gaps between them. Values are mixed raw: colours in linear light.
 *
 * @space uv: u right, v up, the image's lower left corner at (0, 0); texel (x, y) has its centre at u = (x + ½)/width, v = 1 − (y + ½)/height
 * @threads safe for concurrent calls as long as nobody writes the image
 */
public final class RepeatedImage {
    private final List<FloatImage> levels;

    private RepeatedImage(List<FloatImage> levels) {
        this.levels = levels;
    }

    /**
     * Makes the levels.
     *
     * @throws IllegalArgumentException                   if the image holds identifiers, which must not be mixed
     * @throws java.util.concurrent.CancellationException if the task was cancelled
     * @cost as {@link Mips#build}
     */
    public static RepeatedImage of(FloatImage image, Task task) {
        if (image.encoding().kind() == Encoding.Kind.ID) {
            throw new IllegalArgumentException("identifiers can't be looked up between texels: they must not be mixed");
        }
        return new RepeatedImage(Mips.of(image).task(task).build());
    }

    /** Returns the image itself. */
    public FloatImage image() {
        return levels.getFirst();
    }

    /**
     * Looks up a place: bilinear in the two levels around {@code level}, and between them in proportion.
     *
     * @param level 0 for the image itself, 1 for the next one and so on; below 0 is 0, beyond the last is the last
     * @param dest  takes the raw channels at {@code at}
     * @edge u, v or a level that is not a number counts as 0; an infinite u or v, too
     */
    public void lookUp(double u, double v, double level, float[] dest, int at) {
        lookUp(repeated(u), repeated(v), level, true, dest, at);
    }

    /**
     * Looks up a place of the image alone: as {@link #lookUp}, but beyond its sides its outermost texels go on.
     *
     * @edge u, v or a level that is not a number counts as 0
     */
    public void lookUpWithin(double u, double v, double level, float[] dest, int at) {
        lookUp(u >= 0 ? Math.min(1, u) : 0, v >= 0 ? Math.min(1, v) : 0, level, false, dest, at);
    }

    private void lookUp(double u, double v, double level, boolean repeats, float[] dest, int at) {
        double between = level > 0 ? Math.min(level, levels.size() - 1) : 0;
        int lower = (int) between;
        float part = (float) (between - lower);
        int channels = image().channels();
        float[] texels = new float[4 * channels];
        bilinear(levels.get(lower), u, v, repeats, texels, dest, at);
        if (part > 0) {
            float[] upper = new float[channels];
            bilinear(levels.get(lower + 1), u, v, repeats, texels, upper, 0);
            for (int c = 0; c < channels; c++) {
                dest[at + c] += part * (upper[c] - dest[at + c]);
            }
        }
    }

    private static void bilinear(FloatImage image, double u, double v, boolean repeats, float[] texels, float[] dest, int at) {
        int width = image.width(), height = image.height(), channels = image.channels();
        double x = u * width - 0.5, y = (1 - v) * height - 0.5;
        int left = (int) Math.floor(x), top = (int) Math.floor(y);
        float fx = (float) (x - left), fy = (float) (y - top);
        if (left >= 0 && left + 1 < width && top >= 0 && top + 1 < height) {
            image.read(left, top, 2, 2, texels);
        } else {
            for (int i = 0; i < 4; i++) {
                int column = beside(left + i % 2, width, repeats), row = beside(top + i / 2, height, repeats);
                for (int c = 0; c < channels; c++) {
                    texels[i * channels + c] = image.get(column, row, c);
                }
            }
        }
        for (int c = 0; c < channels; c++) {
            float upper = texels[c] + fx * (texels[channels + c] - texels[c]);
            float lower = texels[2 * channels + c] + fx * (texels[3 * channels + c] - texels[2 * channels + c]);
            dest[at + c] = upper + fy * (lower - upper);
        }
    }

    /** Returns the texel that stands for one beyond a side. */
    private static int beside(int texel, int length, boolean repeats) {
        return repeats ? Math.floorMod(texel, length) : Math.clamp(texel, 0, length - 1);
    }

    /** Returns the part of a coordinate beyond the whole number below it. */
    private static double repeated(double coordinate) {
        double part = coordinate - Math.floor(coordinate);
        return part >= 0 && part <= 1 ? part : 0; // NaN and infinity are neither
    }
}
