package org.estampage.material;

import java.util.function.IntConsumer;
import java.util.stream.IntStream;
import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.image.ImageSource;
import org.estampage.task.Task;

/** Work on images row by row, and what images must be for it. */
final class Rows {
    private Rows() {
    }

    /**
     * Does every row once, in the caller's fork-join pool, else in the common one.
     *
     * @param name a short phrase for people
     * @throws java.util.concurrent.CancellationException if the task was cancelled
     */
    static void each(Task task, String name, int height, IntConsumer row) {
        Task.Stage stage = task.stage(name, height);
        IntStream.range(0, height).parallel().forEach(y -> {
            row.accept(y);
            stage.advance(1);
        });
    }

    /** Returns a row of an image. */
    static float[] read(FloatImage image, int y) {
        return image.read(0, y, image.width(), 1, new float[image.width() * image.channels()]);
    }

    /** Writes a row of an image. */
    static void write(FloatImage image, int y, float[] row) {
        image.write(0, y, image.width(), 1, row);
    }

    /** Returns an image at a size: as it is where it has that size, else resampled as if it repeated. */
    static FloatImage sized(ImageSource source, int width, int height, Task task) {
        if (source instanceof ScalableImage scalable) {
            return scalable.build(width, height);
        }
        FloatImage image = source.build();
        return image.width() == width && image.height() == height ? image : Tiling.of(image, 1, 1).task(task).build(width, height);
    }

    /**
     * Returns an image of normals.
     *
     * @throws IllegalArgumentException if it is something else
     */
    static FloatImage normals(String name, FloatImage image) {
        if (image.encoding().kind() != Encoding.Kind.NORMAL || image.channels() != 3) {
            throw new IllegalArgumentException(name + ": the image is " + image.encoding().kind() + " of " + image.channels()
                    + " channels, it must be NORMAL of 3: read it as normals, which decodes to -1 … 1");
        }
        return image;
    }

    /**
     * Returns an image of one channel.
     *
     * @throws IllegalArgumentException if it has more
     */
    static FloatImage single(String name, FloatImage image) {
        if (image.channels() != 1) {
            throw new IllegalArgumentException(name + ": the image has " + image.channels() + " channels, it must have 1");
        }
        return image;
    }

    /**
     * Checks that an image has a size.
     *
     * @throws IllegalArgumentException if it has another
     */
    static void requireSize(String name, FloatImage image, int width, int height) {
        if (image.width() != width || image.height() != height) {
            throw new IllegalArgumentException(name + ": the image has " + image.width() + " × " + image.height() + " texels, it must have "
                    + width + " × " + height);
        }
    }

    /**
     * Checks a number.
     *
     * @throws IllegalArgumentException if it is not {@code least} … {@code most}
     */
    static double between(String name, double value, double least, double most) {
        if (!(value >= least) || !(value <= most)) {
            throw new IllegalArgumentException(name + " = " + value + " must be " + least + " … " + most);
        }
        return value;
    }

    /**
     * Checks a number.
     *
     * @throws IllegalArgumentException if it is not positive and finite
     */
    static double positive(String name, double value) {
        if (!(value > 0) || !Double.isFinite(value)) {
            throw new IllegalArgumentException(name + " = " + value + " must be positive and finite");
        }
        return value;
    }

    /**
     * Checks a number.
     *
     * @throws IllegalArgumentException if it is not finite
     */
    static double finite(String name, double value) {
        if (!Double.isFinite(value)) {
            throw new IllegalArgumentException(name + " = " + value + " must be finite");
        }
        return value;
    }
}
