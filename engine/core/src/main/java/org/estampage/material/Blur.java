package org.estampage.material;

import java.util.function.IntFunction;
import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.image.Range;
import org.estampage.task.Task;

/** Sums over a bell, of weighted values and of the weights alone, so that their quotient is a weighted mean. */
final class Blur {
    /** Three boxes are a bell within 3 % of a normal distribution's. */
    private static final int PASSES = 3;
    /** Columns that are gone down at once: a tile's. */
    private static final int STRIP = 128;

    private Blur() {
    }

    /** Returns two channels: the sums of value · weight and of weight. */
    static FloatImage of(int width, int height, IntFunction<float[]> values, FloatImage weights, int radius, Task task) {
        FloatImage sums = FloatImage.create(width, height, Encoding.data(Range.UNIT, 2), task.memory());
        Rows.each(task, "blurring across", height, y -> {
            float[] value = values.apply(y), weight = Rows.read(weights, y), row = new float[2 * width];
            for (int x = 0; x < width; x++) {
                float w = weight[x] > 0 ? weight[x] : 0;
                row[2 * x] = w > 0 ? value[x] * w : 0;
                row[2 * x + 1] = w;
            }
            boxes(row, 0, 2, width, radius);
            boxes(row, 1, 2, width, radius);
            Rows.write(sums, y, row);
        });
        Rows.each(task, "blurring down", (width + STRIP - 1) / STRIP, strip -> {
            int left = strip * STRIP, w = Math.min(STRIP, width - left);
            float[] columns = sums.read(left, 0, w, height, new float[2 * w * height]);
            for (int at = 0; at < 2 * w; at++) {
                boxes(columns, at, 2 * w, height, radius);
            }
            sums.write(left, 0, w, height, columns);
        });
        return sums;
    }

    /** Goes three times over a line of values with a mean of 2 · radius + 1 of them; beyond the ends there is nothing. */
    private static void boxes(float[] values, int first, int step, int count, int radius) {
        double[] line = new double[count + 1];
        for (int pass = 0; pass < PASSES; pass++) {
            for (int i = 0; i < count; i++) {
                line[i + 1] = line[i] + values[first + i * step];
            }
            for (int i = 0; i < count; i++) {
                double sum = line[Math.min(count, i + radius + 1)] - line[Math.max(0, i - radius)];
                values[first + i * step] = (float) (sum / (2 * radius + 1));
            }
        }
    }
}
