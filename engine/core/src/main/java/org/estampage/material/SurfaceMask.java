package org.estampage.material;

import java.util.List;
import java.util.Objects;
import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.image.ImageSource;
import org.estampage.image.Range;
import org.estampage.task.Task;

/**
 * Where something is: a number a texel, made from baked images and noise, and changed step by step. Values are raw until {@link #levels} or
 * {@link #build} brings them to 0 … 1.
 *
 * <p>Steps are worked out row by row when the mask is built; none keeps an image of its own but {@link #blur}.
 *
 * @threads immutable; {@link #build} runs in the caller's fork-join pool, else in the common one, with the same values for any number of threads
 */
public final class SurfaceMask implements ImageSource {
    /** Ids are the same within half a code of 8 bits. */
    private static final float HALF_CODE = 0.5f / 255;
    private static final int MOST_OCTAVES = 16;

    /** Values of a row. */
    private interface Values {
        float[] row(int y);
    }

    /** A number made of another. */
    private interface Change {
        float of(float value);
    }

    /** A number made of two. */
    private interface Pair {
        float of(float a, float b);
    }

    /** A number made of a vector. */
    private interface OfVector {
        float of(float x, float y, float z);
    }

    private final int width;
    private final int height;
    private final Values values;
    private final Task task;

    private SurfaceMask(int width, int height, Values values, Task task) {
        this.width = width;
        this.height = height;
        this.values = values;
        this.task = task;
    }

    private static SurfaceMask of(FloatImage image, Values values) {
        return new SurfaceMask(image.width(), image.height(), values, Task.silent());
    }

    /**
     * Returns an image's raw values: occlusion, height in mesh units, curvature …
     *
     * @throws IllegalArgumentException if it has several channels
     */
    public static SurfaceMask of(ImageSource image) {
        FloatImage built = Rows.single("image", image.build());
        return of(built, y -> Rows.read(built, y));
    }

    /**
     * Returns how convex the surface is: 0 where it is flat or concave, 1 at the largest curvature that the image's encoding holds, more beyond.
     *
     * @throws IllegalArgumentException if the image has several channels or an encoding without positive values
     */
    public static SurfaceMask convex(ImageSource curvature) {
        return curved(curvature, 1);
    }

    /**
     * Returns how concave the surface is: 0 where it is flat or convex, 1 at the largest curvature that the image's encoding holds, more beyond.
     *
     * @throws IllegalArgumentException if the image has several channels or an encoding without positive values
     */
    public static SurfaceMask concave(ImageSource curvature) {
        return curved(curvature, -1);
    }

    private static SurfaceMask curved(ImageSource curvature, float sign) {
        FloatImage image = Rows.single("curvature", curvature.build());
        Range range = image.encoding().ranges().getFirst();
        float largest = Math.max(range.atZero(), range.atOne());
        if (!(largest > 0)) {
            throw new IllegalArgumentException("curvature: the range " + range + " must hold positive values");
        }
        return of(image).changed(v -> Math.max(0, sign * v / largest));
    }

    /**
     * Returns how hidden the surface is: 1 less the occlusion map's openness.
     *
     * @throws IllegalArgumentException if the image has several channels
     */
    public static SurfaceMask hidden(ImageSource occlusion) {
        return of(occlusion).invert();
    }

    /**
     * Returns how far along a direction the surface lies, in the positions' unit.
     *
     * @param position object space, 3 channels
     * @throws IllegalArgumentException if the image has not 3 channels, or the direction has no length
     */
    public static SurfaceMask along(FloatImage position, double x, double y, double z) {
        return dot("position", position, x, y, z, false);
    }

    /**
     * Returns the cosine of the angle between the surface's normal and a direction: 1 where it faces there, −1 where it faces away.
     *
     * @param objectNormal object space, 3 channels, of any length
     * @throws IllegalArgumentException if the image has not 3 channels, or the direction has no length
     */
    public static SurfaceMask facing(FloatImage objectNormal, double x, double y, double z) {
        return dot("objectNormal", objectNormal, x, y, z, true);
    }

    private static SurfaceMask dot(String name, FloatImage vectors, double x, double y, double z, boolean unit) {
        requireVectors(name, vectors);
        double length = Math.sqrt(x * x + y * y + z * z);
        if (!(length > 0) || !Double.isFinite(length)) {
            throw new IllegalArgumentException("direction (" + x + ", " + y + ", " + z + ") must have a finite length above 0");
        }
        return ofVectors(vectors, unit, (a, b, c) -> (float) ((x * a + y * b + z * c) / length));
    }

    private static void requireVectors(String name, FloatImage image) {
        if (image.channels() != 3) {
            throw new IllegalArgumentException(name + ": the image has " + image.channels() + " channels, it must have 3");
        }
    }

    private static SurfaceMask ofVectors(FloatImage vectors, boolean unit, OfVector function) {
        return of(vectors, y -> {
            float[] v = Rows.read(vectors, y);
            if (unit) {
                NormalRows.unit(v);
            }
            float[] row = new float[vectors.width()];
            for (int x = 0; x < row.length; x++) {
                row[x] = function.of(v[3 * x], v[3 * x + 1], v[3 * x + 2]);
            }
            return row;
        });
    }

    /**
     * Returns 1 where an image of ids has one of the given ids, else 0.
     *
     * @param wanted raw values, one a channel each; the same within half a code of 8 bits
     * @throws IllegalArgumentException if an id has not as many values as the image channels
     */
    public static SurfaceMask ids(FloatImage ids, List<float[]> wanted) {
        int channels = ids.channels();
        float[][] all = wanted.stream().map(float[]::clone).toArray(float[][]::new);
        for (float[] id : all) {
            if (id.length != channels) {
                throw new IllegalArgumentException("wanted: an id of " + id.length + " values, the image has " + channels + " channels");
            }
        }
        return of(ids, y -> {
            float[] from = Rows.read(ids, y);
            float[] row = new float[ids.width()];
            for (int x = 0; x < row.length; x++) {
                for (float[] id : all) {
                    row[x] = same(from, x * channels, id) ? 1 : row[x];
                }
            }
            return row;
        });
    }

    private static boolean same(float[] values, int at, float[] id) {
        for (int c = 0; c < id.length; c++) {
            if (!(Math.abs(values[at + c] - id[c]) <= HALF_CODE)) {
                return false;
            }
        }
        return true;
    }

    /**
     * Returns cloudy noise in object space, which knows no seams: 0 … 1 about ½, from random values on a lattice.
     *
     * @param position object space, 3 channels
     * @param size     the lattice's spacing in mesh units: how large the coarsest clouds are
     * @param octaves  1 … 16; each next one has half the size and half the weight
     * @param seed     another seed, another noise
     * @throws IllegalArgumentException if the image has not 3 channels, the size is not positive and finite, or the octaves are out of range
     */
    public static SurfaceMask clouds(FloatImage position, double size, int octaves, int seed) {
        return noise(position, size, octaves, seed, HashNoise::value);
    }

    /**
     * Returns even noise in object space, which knows no seams: 0 … 1 about ½, with spots of one size, from random slopes on a lattice.
     *
     * @param position object space, 3 channels
     * @param size     the lattice's spacing in mesh units: how large the coarsest spots are
     * @param octaves  1 … 16; each next one has half the size and half the weight
     * @param seed     another seed, another noise
     * @throws IllegalArgumentException if the image has not 3 channels, the size is not positive and finite, or the octaves are out of range
     */
    public static SurfaceMask spots(FloatImage position, double size, int octaves, int seed) {
        return noise(position, size, octaves, seed, HashNoise::gradient);
    }

    /** Noise −1 … 1 at a place. */
    private interface Noise {
        double at(double x, double y, double z, int seed);
    }

    private static SurfaceMask noise(FloatImage position, double size, int octaves, int seed, Noise noise) {
        requireVectors("position", position);
        Rows.positive("size", size);
        Rows.between("octaves", octaves, 1, MOST_OCTAVES);
        return ofVectors(position, false, (x, y, z) -> {
            double sum = 0, weights = 0, weight = 1, scale = 1 / size;
            for (int i = 0; i < octaves; i++) {
                sum += weight * noise.at(x * scale, y * scale, z * scale, seed + i);
                weights += weight;
                weight /= 2;
                scale *= 2;
            }
            return (float) (0.5 + 0.5 * sum / weights);
        });
    }

    /**
     * Returns the mask stretched so that {@code from} becomes 0 and {@code to} 1, cut off there; {@code from} may be the larger one.
     *
     * @throws IllegalArgumentException if a number is not finite, or both are the same
     */
    public SurfaceMask levels(double from, double to) {
        Rows.finite("from", from);
        if (Rows.finite("to", to) == from) {
            throw new IllegalArgumentException("levels " + from + " … " + to + " must differ");
        }
        return changed(v -> (float) Math.min(1, Math.max(0, (v - from) / (to - from))));
    }

    /** Returns the mask, cut off at 0 and 1, with both ends eased: 3v² − 2v³. */
    public SurfaceMask eased() {
        return changed(v -> {
            float c = Math.min(1, Math.max(0, v));
            return c * c * (3 - 2 * c);
        });
    }

    /**
     * Returns the mask with its differences from ½ multiplied, cut off at 0 and 1.
     *
     * @throws IllegalArgumentException if the factor is negative or not finite
     */
    public SurfaceMask contrast(double factor) {
        Rows.between("contrast", factor, 0, Float.MAX_VALUE);
        return changed(v -> (float) Math.min(1, Math.max(0, 0.5 + (v - 0.5) * factor)));
    }

    /** Returns 1 less the mask. */
    public SurfaceMask invert() {
        return changed(v -> 1 - v);
    }

    /**
     * Returns the mask multiplied by a number.
     *
     * @throws IllegalArgumentException if it is not finite
     */
    public SurfaceMask times(double factor) {
        Rows.finite("times", factor);
        return changed(v -> (float) (v * factor));
    }

    /**
     * Returns the product with another mask.
     *
     * @throws IllegalArgumentException if it has another size
     */
    public SurfaceMask times(ImageSource other) {
        return with(other, (a, b) -> a * b);
    }

    /**
     * Returns the sum with another mask, multiplied by a number; negative ones take away.
     *
     * @throws IllegalArgumentException if it has another size, or the number is not finite
     */
    public SurfaceMask plus(ImageSource other, double factor) {
        Rows.finite("plus", factor);
        return with(other, (a, b) -> (float) (a + factor * b));
    }

    /**
     * Returns the larger of two masks, texel by texel.
     *
     * @throws IllegalArgumentException if the other has another size
     */
    public SurfaceMask or(ImageSource other) {
        return with(other, Math::max);
    }

    /**
     * Returns the smaller of two masks, texel by texel.
     *
     * @throws IllegalArgumentException if the other has another size
     */
    public SurfaceMask and(ImageSource other) {
        return with(other, Math::min);
    }

    private SurfaceMask with(ImageSource other, Pair pair) {
        SurfaceMask second = other instanceof SurfaceMask mask ? mask : of(other);
        if (second.width != width || second.height != height) {
            throw new IllegalArgumentException(
                    "the other mask has " + second.width + " × " + second.height + " texels, this one " + width + " × "
                            + height);
        }
        return new SurfaceMask(width, height, y -> {
            float[] a = values.row(y), b = second.values.row(y);
            for (int x = 0; x < a.length; x++) {
                a[x] = pair.of(a[x], b[x]);
            }
            return a;
        }, task);
    }

    private SurfaceMask changed(Change change) {
        return new SurfaceMask(width, height, y -> {
            float[] row = values.row(y);
            for (int x = 0; x < row.length; x++) {
                row[x] = change.of(row[x]);
            }
            return row;
        }, task);
    }

    /**
     * Returns the mask blurred: the mean over a bell, which counts texels inside the coverage only. Charts that lie nearer to each other than three radii
     * reach into one another.
     *
     * @param radius   half the width of a box in texels, which is gone over three times: a standard deviation of √(r² + r)
     * @param coverage one channel, each texel's weight; below 0 counts as 0; texels without keep their value
     * @cost linear in time whatever the radius; two images of two channels
     * @throws IllegalArgumentException                   if the radius is below 1 or above 4096, or the coverage has several channels or another size
     * @throws java.util.concurrent.CancellationException if the task was cancelled
     */
    public SurfaceMask blur(int radius, ImageSource coverage) {
        Rows.between("radius", radius, 1, 4096);
        FloatImage cover = Rows.single("coverage", coverage.build());
        Rows.requireSize("coverage", cover, width, height);
        FloatImage blurred = Blur.of(width, height, values::row, cover, radius, task);
        return new SurfaceMask(width, height, y -> {
            float[] row = values.row(y), sums = Rows.read(blurred, y), cover1 = Rows.read(cover, y);
            for (int x = 0; x < row.length; x++) {
                row[x] = cover1[x] > 0 ? sums[2 * x] / sums[2 * x + 1] : row[x];
            }
            return row;
        }, task);
    }

    /**
     * Returns the mask with all its steps done, beyond 0 … 1 too, which is worth it where several others are made of it: each would do them again.
     *
     * @cost every step's time; an image, and a few rows
     * @throws java.util.concurrent.CancellationException if the task was cancelled
     */
    public SurfaceMask worked() {
        FloatImage result = FloatImage.create(width, height, Encoding.data(Range.UNIT, 1), task.memory());
        Rows.each(task, "mask", height, y -> Rows.write(result, y, values.row(y)));
        return of(result).task(task);
    }

    /** Returns the mask with who hears of progress and can cancel, and how much memory images may take before they go to temporary files. */
    public SurfaceMask task(Task value) {
        return new SurfaceMask(width, height, values, Objects.requireNonNull(value, "value"));
    }

    /**
     * Returns the mask as an image of data, 0 … 1.
     *
     * @edge what is not a number becomes 0
     * @cost every step's time; the result, and a few rows
     * @throws java.util.concurrent.CancellationException if the task was cancelled
     */
    @Override
    public FloatImage build() {
        FloatImage result = FloatImage.create(width, height, Encoding.data(Range.UNIT, 1), task.memory());
        Rows.each(task, "mask", height, y -> {
            float[] row = values.row(y);
            for (int x = 0; x < row.length; x++) {
                row[x] = row[x] > 0 ? Math.min(1, row[x]) : 0;
            }
            Rows.write(result, y, row);
        });
        return result;
    }

    @Override
    public String toString() {
        return "mask, " + width + " × " + height + "; build() or save makes the image";
    }
}
