package org.estampage.image;

import java.util.Objects;
import java.util.stream.IntStream;
import org.estampage.task.Task;

/**
 * For every texel the nearest set texel of a mask, by exact Euclidean distance between texel centres.
 *
 * <p>Of equally near texels the one with the smaller x wins, then the one with the smaller y.
 *
 * @threads immutable; {@link #of} runs in the caller's fork-join pool, else in the common one, with the same result for any number of threads
 * @cost time in proportion to the texels; 4 bytes a texel
 * @source A. Meijster, J. Roerdink, W. Hesselink, A General Algorithm for Computing Distance Transforms in Linear Time, 2000;
 *         P. Felzenszwalb, D. Huttenlocher, Distance Transforms of Sampled Functions, 2012
 */
public final class DistanceMap {
    /** An array can't be longer on today's virtual machines. */
    private static final int LARGEST_AREA = Integer.MAX_VALUE - 8;

    private final int width;
    private final int height;
    private final int[] nearest;

    private DistanceMap(int width, int height, int[] nearest) {
        this.width = width;
        this.height = height;
        this.nearest = nearest;
    }

    /**
     * Measures the distance of every texel from the set texels of a mask.
     *
     * @throws IllegalStateException                      if the task's memory budget has no room for 4 bytes a texel
     * @throws java.util.concurrent.CancellationException if the task is cancelled
     */
    public static DistanceMap of(Mask mask, Task task) {
        int width = mask.width();
        int area = width * mask.height();
        if (area > LARGEST_AREA || !task.memory().tryReserve(4L * area)) {
            throw new IllegalStateException("no room for a distance map of " + width + " × " + mask.height() + " texels, " + 4L * area
                    + " bytes; the budget is " + task.memory().bytes() + " bytes, of which " + task.memory().reserved() + " are taken");
        }
        int[] nearest = new int[area];
        NearestSearch search = NearestSearch.in(mask);
        Task.Stage stage = task.stage("measuring distances", search.bandCount());
        IntStream.range(0, search.bandCount()).parallel().forEach(band -> {
            int first = search.firstRow(band);
            int[] rows = new int[(search.firstRow(band + 1) - first) * width];
            search.find(band, rows);
            System.arraycopy(rows, 0, nearest, first * width, rows.length);
            stage.advance(1);
        });
        return new DistanceMap(width, mask.height(), nearest);
    }

    /** Returns the width in texels. */
    public int width() {
        return width;
    }

    /** Returns the height in texels. */
    public int height() {
        return height;
    }

    /**
     * Returns the place of the nearest set texel as {@code nearestY · width + nearestX}, or −1 if the mask is empty.
     *
     * @throws IndexOutOfBoundsException if the texel does not exist
     */
    public int nearest(int x, int y) {
        return nearest[Objects.checkIndex(y, height) * width + Objects.checkIndex(x, width)];
    }

    /**
     * Returns the squared distance to the nearest set texel in texels², 0 where the texel itself is set, or {@code Long.MAX_VALUE} if the mask is
     * empty.
     *
     * @throws IndexOutOfBoundsException if the texel does not exist
     */
    public long squaredDistance(int x, int y) {
        int place = nearest(x, y);
        if (place < 0) {
            return Long.MAX_VALUE;
        }
        long dx = (long) x - place % width;
        long dy = (long) y - place / width;
        return dx * dx + dy * dy;
    }
}
