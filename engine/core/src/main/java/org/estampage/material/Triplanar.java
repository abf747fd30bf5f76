package org.estampage.material;

import java.util.Arrays;
import java.util.Objects;
import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.image.ImageSource;
import org.estampage.image.RepeatedImage;
import org.estampage.task.Task;
import org.jspecify.annotations.Nullable;

/**
 * A tiling image projected along the three axes of object space onto a surface that is known by its baked positions and normals. What a texel gets depends on
 * its place and its normal alone, not on its chart, so seams of the UVs don't show.
 *
 * <p>Each side of an axis has a picture that is upright and not mirrored as one sees it from outside; tops and bottoms have x to the right. They mix by the
 * normal's components, raised to a power.
 *
 * <p>Normals are reoriented on each plane onto the surface's own normal, in object space, and mixed there: a flat image gives the surface's normals back.
 * They come out in object space, or with {@link #inTangentSpace} as a detail to lay over tangent-space normals.
 *
 * @space object: right-handed, Y up
 * @threads confined; {@link #build} runs in the caller's fork-join pool, else in the common one, with the same values for any number of threads
 * @source the projection: Geiss, Generating Complex Procedural Terrains Using the GPU, GPU Gems 3, 2007 (from memory); reoriented normals on each plane as
 *         Golus, Normal Mapping for a Triplanar Shader, 2017, describes (from memory); handedness and tangent space are our own
 */
public final class Triplanar implements ImageSource {
    /** Weights below this, under half a code of 8 bits, are taken away from all, so that most texels need one lookup. */
    private static final double LEAST_WEIGHT = 1 / 512.0;
    private static final int MOST_SHARPNESS = 64;
    /** Pairs of neighbours whose middle distance is a texel's size. */
    private static final int SAMPLES = 1 << 16;
    /** Frames with a smaller determinant are taken as flat; that of a healthy frame is near 1. */
    private static final double LEAST_DETERMINANT = 1e-12;

    // A side of an axis has directions to the right, upwards and outwards, right × up = out: ±x: ∓z, y, ±x; ±y: x, ∓z, ±y; ±z: ±x, y, ±z.
    private static final int[] RIGHT = {2, 0, 0};
    private static final int[] UP = {1, 2, 1};

    private final ImageSource source;
    private final double tileSize;
    private final FloatImage position;
    private final FloatImage normal;
    private int sharpness = 4;
    private boolean greenDown;
    private @Nullable FloatImage tangent;
    private @Nullable FloatImage bitangent;
    private Task task = Task.silent();

    private Triplanar(ImageSource source, double tileSize, FloatImage position, FloatImage normal) {
        this.source = source;
        this.tileSize = tileSize;
        this.position = position;
        this.normal = normal;
    }

    /**
     * Starts a projection.
     *
     * @param image        repeats over the whole space; it is square in mesh units
     * @param tileSize     a tile's side in mesh units
     * @param position     where each texel lies, in mesh units
     * @param objectNormal the surface's normals in object space, of any length: the high poly's, or smoother ones
     * @throws IllegalArgumentException if the tile's size is not positive and finite, an image has not 3 channels, or they differ in size
     */
    public static Triplanar of(ImageSource image, double tileSize, FloatImage position, FloatImage objectNormal) {
        Objects.requireNonNull(image, "image");
        requireVectors("position", position, position);
        requireVectors("objectNormal", objectNormal, position);
        return new Triplanar(image, Rows.positive("tileSize", tileSize), position, objectNormal);
    }

    private static void requireVectors(String name, FloatImage image, FloatImage size) {
        if (image.channels() != 3) {
            throw new IllegalArgumentException(name + ": the image has " + image.channels() + " channels, it must have 3");
        }
        Rows.requireSize(name, image, size.width(), size.height());
    }

    /**
     * Sets how soon one side takes over from the next: the power of the normal's components; 4 by default.
     *
     * @throws IllegalArgumentException if it is not 1 … 64
     */
    public Triplanar sharpness(int power) {
        sharpness = (int) Rows.between("sharpness", power, 1, MOST_SHARPNESS);
        return this;
    }

    /** Turns the image's green over: for normals that were read with green up, though they were made with green down. */
    public Triplanar greenDown() {
        greenDown = true;
        return this;
    }

    /**
     * Has normals come out in tangent space, as a detail that {@link LayNormals} lays over baked normals. With the low poly's own normals as
     * {@code objectNormal} both sides of a seam shade alike exactly, where their frames are at right angles; with the high poly's nearly.
     *
     * @param tangents   the low poly's tangents in object space, as interpolated
     * @param bitangents its bitangents
     * @throws IllegalArgumentException if an image has not 3 channels or another size than the positions
     */
    public Triplanar inTangentSpace(FloatImage tangents, FloatImage bitangents) {
        requireVectors("tangents", tangents, position);
        requireVectors("bitangents", bitangents, position);
        tangent = tangents;
        bitangent = bitangents;
        return this;
    }

    /** Sets who hears of progress and can cancel, and how much memory the result may take before it goes to a temporary file. */
    public Triplanar task(Task value) {
        task = Objects.requireNonNull(value, "value");
        return this;
    }

    /**
     * Returns the projected image, the size of the positions. One mip level is taken for all texels, that of the middle distance between neighbours:
     * levels of their own would differ across seams.
     *
     * @edge a normal without direction counts as (0, 0, 1), a position that is not finite as the origin
     * @cost linear in time; the result, and the levels of the image
     * @throws IllegalArgumentException                   if the image holds identifiers, or an option for normals was set for another image
     * @throws java.util.concurrent.CancellationException if the task was cancelled
     */
    @Override
    public FloatImage build() {
        FloatImage image = source.build();
        boolean normals = image.encoding().kind() == Encoding.Kind.NORMAL && image.channels() == 3;
        if (greenDown || tangent != null) {
            Rows.normals(greenDown ? "greenDown" : "inTangentSpace", image);
        }
        RepeatedImage repeated = RepeatedImage.of(image, task);
        double level = level(image);
        FloatImage result = FloatImage.create(position.width(), position.height(), normals ? Encoding.normal() : image.encoding(),
                task.memory());
        Rows.each(task, "projecting", result.height(), y -> {
            float[] p = Rows.read(position, y), n = Rows.read(normal, y);
            NormalRows.unit(n);
            float[] row = new float[result.width() * result.channels()];
            if (normals) {
                project(repeated, level, p, n, row);
                intoTangentSpace(row, n, y);
            } else {
                mix(repeated, level, p, n, row, image.channels());
            }
            Rows.write(result, y, row);
        });
        return result;
    }

    /** Returns the mip level at which a texel of the image is as large as one of the surface. */
    private double level(FloatImage image) {
        int width = position.width(), height = position.height();
        int step = (int) Math.max(1, Math.sqrt((double) width * height / SAMPLES));
        double[] distances = new double[((height - 1) / step + 1) * ((width - 1) / step + 1)];
        int count = 0;
        for (int y = 0; y + 1 < height; y += step) {
            float[] row = Rows.read(position, y), below = Rows.read(position, y + 1);
            for (int x = 0; x + 1 < width; x += step) {
                double distance = Math.min(distance(row, 3 * x, row, 3 * x + 3), distance(row, 3 * x, below, 3 * x));
                if (distance > 0 && distance < Double.POSITIVE_INFINITY) {
                    distances[count++] = distance;
                }
            }
        }
        if (count == 0) {
            return 0;
        }
        Arrays.sort(distances, 0, count);
        return StrictMath.log(distances[count / 2] / tileSize * Math.max(image.width(), image.height())) / StrictMath.log(2);
    }

    private static double distance(float[] a, int i, float[] b, int j) {
        double x = (double) a[i] - b[j], y = (double) a[i + 1] - b[j + 1], z = (double) a[i + 2] - b[j + 2];
        return Math.sqrt(x * x + y * y + z * z);
    }

    /** Writes the weights of the three axes, whose sum is 1. */
    private void weights(float[] n, int i, double[] dest) {
        double sum = 0;
        for (int axis = 0; axis < 3; axis++) {
            dest[axis] = power(Math.abs(n[i + axis]), sharpness);
            sum += dest[axis];
        }
        double rest = 0;
        for (int axis = 0; axis < 3; axis++) {
            dest[axis] = Math.max(0, dest[axis] / sum - LEAST_WEIGHT); // the largest is a third at least
            rest += dest[axis];
        }
        for (int axis = 0; axis < 3; axis++) {
            dest[axis] /= rest;
        }
    }

    private static double power(double base, int exponent) {
        double result = 1, square = base;
        for (int left = exponent; left > 0; left >>= 1) {
            if ((left & 1) != 0) {
                result *= square;
            }
            square *= square;
        }
        return result;
    }

    private static double sign(float component) {
        return component < 0 ? -1 : 1;
    }

    private static double rightSign(int axis, double side) {
        return axis == 0 ? -side : axis == 1 ? 1 : side;
    }

    private static double upSign(int axis, double side) {
        return axis == 1 ? -side : 1;
    }

    private void lookUp(RepeatedImage image, double level, int axis, double side, float[] p, int i, float[] dest) {
        image.lookUp(rightSign(axis, side) * p[i + RIGHT[axis]] / tileSize, upSign(axis, side) * p[i + UP[axis]] / tileSize, level, dest,
                0);
    }

    private void mix(RepeatedImage image, double level, float[] p, float[] n, float[] dest, int channels) {
        double[] w = new double[3];
        double[] sum = new double[channels];
        float[] texel = new float[channels];
        for (int i = 0; i < p.length; i += 3) {
            weights(n, i, w);
            Arrays.fill(sum, 0);
            for (int axis = 0; axis < 3; axis++) {
                if (w[axis] > 0) {
                    lookUp(image, level, axis, sign(n[i + axis]), p, i, texel);
                    for (int c = 0; c < channels; c++) {
                        sum[c] += w[axis] * texel[c];
                    }
                }
            }
            for (int c = 0; c < channels; c++) {
                dest[i / 3 * channels + c] = (float) sum[c];
            }
        }
    }

    private void project(RepeatedImage image, double level, float[] p, float[] n, float[] dest) {
        double[] w = new double[3];
        float[] d = new float[3];
        for (int i = 0; i < p.length; i += 3) {
            weights(n, i, w);
            for (int axis = 0; axis < 3; axis++) {
                if (w[axis] > 0) {
                    double side = sign(n[i + axis]);
                    lookUp(image, level, axis, side, p, i, d);
                    if (greenDown) {
                        NormalRows.turnGreen(d);
                    }
                    NormalRows.unit(d);
                    addReoriented(axis, side, n, d, w[axis], i, dest);
                }
            }
        }
        NormalRows.unitOr(dest, n);
    }

    private static void addReoriented(int axis, double side, float[] n, float[] d, double weight, int i, float[] dest) {
        double right = rightSign(axis, side), up = upSign(axis, side);
        double tx = right * n[i + RIGHT[axis]], ty = up * n[i + UP[axis]], tz = side * n[i + axis] + 1;
        double ux = -d[0], uy = -d[1], uz = d[2];
        double k = (tx * ux + ty * uy + tz * uz) / tz; // tz is 1 at least: the side is the normal's own
        dest[i + RIGHT[axis]] += (float) (weight * right * (tx * k - ux));
        dest[i + UP[axis]] += (float) (weight * up * (ty * k - uy));
        dest[i + axis] += (float) (weight * side * (tz * k - uz));
    }

    /** Brings a row of vectors through the inverse of each texel's frame, where there are frames. */
    private void intoTangentSpace(float[] row, float[] n, int y) {
        FloatImage tangents = tangent, bitangents = bitangent;
        if (tangents == null || bitangents == null) {
            return;
        }
        float[] t = Rows.read(tangents, y), b = Rows.read(bitangents, y);
        for (int i = 0; i < row.length; i += 3) {
            // Rows of the inverse frame are cross products over the determinant; its sign is all that matters before normalising.
            double determinant = triple(t, b, n, i);
            double x = triple(row, b, n, i), yy = triple(t, row, n, i), z = triple(t, b, row, i);
            double sign = Math.signum(determinant);
            boolean sound = Math.abs(determinant) > LEAST_DETERMINANT;
            row[i] = sound ? (float) (sign * x) : 0;
            row[i + 1] = sound ? (float) (sign * yy) : 0;
            row[i + 2] = sound ? (float) (sign * z) : 1;
        }
        NormalRows.unit(row);
    }

    /** Returns a · (b × c) of the vectors at a place. */
    private static double triple(float[] a, float[] b, float[] c, int i) {
        return a[i] * ((double) b[i + 1] * c[i + 2] - (double) b[i + 2] * c[i + 1])
                + a[i + 1] * ((double) b[i + 2] * c[i] - (double) b[i] * c[i + 2])
                + a[i + 2] * ((double) b[i] * c[i + 1] - (double) b[i + 1] * c[i]);
    }

    @Override
    public String toString() {
        return "projection along three axes, tiles of " + tileSize + "; build() or save makes the image";
    }
}
