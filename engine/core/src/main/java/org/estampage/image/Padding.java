package org.estampage.image;

import java.util.Objects;
import java.util.stream.IntStream;
import org.estampage.task.Task;

/**
 * Continues a map's values beyond the borders of its charts, so that filtered lookups at a seam see nothing foreign.
 *
 * <p>It works on raw values; what it does depends on what the channels are:
 *
 * <ul>
 * <li>plain data and normals: a gutter texel takes the value of its nearest covered texel plus slope × offset. The slope is that of the
 * least-squares plane over the fully covered texels among the 5 × 5 around the nearest one, as far as covered texels join them to it side to
 * side; so two charts that nearly touch stay apart. A covered texel that is not fully covered takes that plane's value at its own centre,
 * unless an edge or noise hides the slope: then its own value stays. Normals are brought back to unit length.
 * <li>identifiers and colour: a gutter texel takes the value of its nearest covered texel; covered texels stay.
 * </ul>
 *
 * <p>The slope is continued as far as the values speak for it: of a slope of length b whose standard error, by the values' scatter about the
 * plane, is e, the part 1 − k²·e²/b² is kept for b²/(k·e²) texels, 64 at the most (k is 3 for many texels and grows for few), so noise is not
 * blown up with the distance. A value leaves the range of the fitted texels by at most 16 times that range's extent (once, if only three were
 * fitted), and leaves the range of the image's encoding only where the fitted texels do; the same range holds for the plane's value in a partly
 * covered texel. So give the image its final encoding before padding; a flat range limits nothing. Where fewer than three texels span a plane, or
 * one is not finite, the nearest value stands.
 *
 * <p>The nearest covered texel is the one of {@link DistanceMap}, ties included.
 *
 * @threads runs in the caller's fork-join pool, else in the common one; same values for any number of threads. Nobody else may write the image
 *          meanwhile
 * @cost time in proportion to the texels; a few rows of numbers a thread besides the image
 */
public final class Padding {
    /** As far as the image goes. */
    public static final int EVERYWHERE = Integer.MAX_VALUE;

    private Padding() {
    }

    /**
     * Pads an image whose covered texels are all good as they are.
     *
     * @param inout   the texels outside {@code covered} that are near enough are replaced
     * @param covered the texels that a chart touches
     * @param texels  the largest distance between the centres of a padded texel and its nearest covered one; or {@link #EVERYWHERE}
     * @edge without a covered texel nothing changes
     * @throws IllegalArgumentException                   if sizes differ or {@code texels} is negative
     * @throws java.util.concurrent.CancellationException if the task is cancelled; the image is then partly padded
     */
    public static void pad(FloatImage inout, Mask covered, int texels, Task task) {
        pad(inout, covered, covered, texels, task);
    }

    /**
     * Pads an image and evaluates its partly covered texels anew.
     *
     * @param inout   the texels outside {@code covered} that are near enough are replaced; of plain data and normals also those in {@code covered}
     *                but not in {@code full}, where the values around them are even enough for a plane
     * @param covered the texels that a chart touches
     * @param full    the texels that lie wholly in a chart; bits outside {@code covered} don't count
     * @param texels  the largest distance between the centres of a padded texel and its nearest covered one; or {@link #EVERYWHERE}
     * @edge without a covered texel nothing changes; without a full one near it a partly covered texel keeps its value
     * @throws IllegalArgumentException                   if sizes differ or {@code texels} is negative
     * @throws java.util.concurrent.CancellationException if the task is cancelled; the image is then partly padded
     */
    public static void pad(FloatImage inout, Mask covered, Mask full, int texels, Task task) {
        checkSize("covered", covered, inout);
        checkSize("full", full, inout);
        if (texels < 0) {
            throw new IllegalArgumentException("texels = " + texels + " must not be negative");
        }
        Objects.requireNonNull(task, "task");
        NearestSearch search = NearestSearch.in(covered);
        Task.Stage stage = task.stage("padding", search.bandCount());
        IntStream.range(0, search.bandCount()).parallel().forEach(band -> {
            padBand(inout, covered, full, (long) texels * texels, search, band);
            stage.advance(1);
        });
    }

    private static void checkSize(String name, Mask mask, FloatImage image) {
        if (mask.width() != image.width() || mask.height() != image.height()) {
            throw new IllegalArgumentException(name + " has " + mask.width() + " × " + mask.height() + " texels, it must have the image's "
                    + image.width() + " × " + image.height());
        }
    }

    private static void padBand(FloatImage image, Mask covered, Mask full, long reach2, NearestSearch search, int band) {
        int width = image.width();
        int channels = image.channels();
        int first = search.firstRow(band);
        int end = search.firstRow(band + 1);
        int[] nearest = new int[(end - first) * width];
        search.find(band, nearest);
        BorderPlanes planes = new BorderPlanes(image, covered, full);
        float[] run = new float[width * channels];
        for (int y = first, at = 0; y < end; y++, at += width) {
            int length = 0;
            for (int x = 0; x < width; x++) {
                int place = nearest[at + x];
                if (isReplaced(x, y, place, width, reach2, full, planes)) {
                    planes.evaluate(place, x, y, run, length * channels);
                    length++;
                } else if (length > 0) {
                    image.write(x - length, y, length, 1, run);
                    length = 0;
                }
            }
            if (length > 0) {
                image.write(width - length, y, length, 1, run);
            }
        }
    }

    private static boolean isReplaced(int x, int y, int place, int width, long reach2, Mask full, BorderPlanes planes) {
        if (place < 0) {
            return false;
        }
        long dx = (long) x - place % width;
        long dy = (long) y - place / width;
        long distance2 = dx * dx + dy * dy;
        if (distance2 == 0) {
            return !full.get(x, y) && planes.isReplaced(place);
        }
        return distance2 <= reach2;
    }
}
