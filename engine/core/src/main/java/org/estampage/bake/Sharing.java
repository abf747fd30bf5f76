package org.estampage.bake;

import java.util.stream.IntStream;
import org.estampage.image.FloatImage;
import org.estampage.task.MemoryBudget;
import org.estampage.task.Task;

/**
 * Lets texels share their rays with their eight neighbours: a mean over those that show the same piece of surface and differ by no more than the rays' own
 * noise. Never across a chart, an edge or a step.
 *
 * @threads stateless
 */
final class Sharing {
    /** Texels whose normals turn by more than 25° against each other don't share: cos 25°. */
    private static final float LEAST_COSINE = 0.9063f;
    /** Texels whose heights differ by more than so many texel widths don't share: a slope of 63° against the low poly. */
    private static final float MOST_RISE = 2f;
    /** How many standard errors two texels may differ by, with the factor of the error model in it. */
    private static final double MOST_DIFFERENCE = 4.5;

    private Sharing() {
    }

    /**
     * Returns the shared values.
     *
     * @param values one channel, 0 … 1
     * @param rays   how many rays each texel got
     */
    static FloatImage share(FloatImage values, FloatImage rays, Guides guides, MemoryBudget memory, Task task) {
        int width = values.width(), height = values.height();
        FloatImage shared = FloatImage.create(width, height, values.encoding(), memory);
        Task.Stage stage = task.stage("sharing rays", height);
        IntStream.range(0, height).parallel().forEach(y -> {
            Rows rows = new Rows(values, rays, guides, y);
            float[] row = new float[width];
            for (int x = 0; x < width; x++) {
                row[x] = rows.mean(x);
            }
            shared.write(0, y, width, 1, row);
            stage.advance(1);
        });
        return shared;
    }

    /** Three rows of everything, around one. */
    private static final class Rows {
        private final int width;
        private final int top;
        private final int bottom;
        private final int middle;
        private final float[] value;
        private final float[] rays;
        private final float[] surface;
        private final float[] place;

        Rows(FloatImage values, FloatImage raysOfTexels, Guides guides, int y) {
            width = values.width();
            int first = Math.max(0, y - 1);
            int count = Math.min(values.height(), y + 2) - first;
            top = 0;
            bottom = count - 1;
            middle = y - first;
            value = values.read(0, first, width, count, new float[width * count]);
            rays = raysOfTexels.read(0, first, width, count, new float[width * count]);
            surface = guides.surface.read(0, first, width, count, new float[4 * width * count]);
            place = guides.place.read(0, first, width, count, new float[2 * width * count]);
        }

        float mean(int x) {
            int a = middle * width + x;
            if (place[2 * a] < 0) {
                return value[a];
            }
            double sum = 0;
            double weights = 0;
            for (int row = top; row <= bottom; row++) {
                for (int column = Math.max(0, x - 1); column <= Math.min(width - 1, x + 1); column++) {
                    int b = row * width + column;
                    if (a == b || (sameSurface(a, b) && alike(a, b))) {
                        sum += (double) rays[b] * value[b];
                        weights += rays[b];
                    }
                }
            }
            return weights > 0 ? (float) (sum / weights) : value[a];
        }

        private boolean sameSurface(int a, int b) {
            float cosine = surface[4 * a] * surface[4 * b] + surface[4 * a + 1] * surface[4 * b + 1]
                    + surface[4 * a + 2] * surface[4 * b + 2];
            return place[2 * a] == place[2 * b] && cosine >= LEAST_COSINE
                    && Math.abs(surface[4 * a + 3] - surface[4 * b + 3]) <= MOST_RISE * place[2 * a + 1];
        }

        private boolean alike(int a, int b) {
            double n = Math.min(rays[a], rays[b]);
            double p = ((double) rays[a] * value[a] + (double) rays[b] * value[b]) / ((double) rays[a] + rays[b]);
            // n^−¾ by roots alone, which are the same everywhere.
            double noise = Math.sqrt(Math.max(0, p * (1 - p)) + 1 / n) / (Math.sqrt(n) * Math.sqrt(Math.sqrt(n)));
            return Math.abs(value[a] - value[b]) <= MOST_DIFFERENCE * noise;
        }
    }
}
