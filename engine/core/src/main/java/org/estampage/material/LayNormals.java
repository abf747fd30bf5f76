package org.estampage.material;

import java.util.Objects;
import org.estampage.finding.Findings;
import org.estampage.image.FloatImage;
import org.estampage.image.ImageSource;
import org.estampage.task.Task;
import org.jspecify.annotations.Nullable;

/**
 * Detail normals laid over a base's normals, tangent space: the result has the base's slopes and the detail's on top.
 *
 * <p>Normals of any length are taken by their direction; one that has none (zero, not finite) counts as flat. The result has the base's encoding and size; a
 * detail of another size is resampled through its mip levels as if it repeated.
 *
 * @space tangent; raw values have green up (+Y), whatever the encoding stores
 * @threads confined; {@link #build} runs in the caller's fork-join pool, else in the common one, with the same values for any number of threads
 */
public final class LayNormals implements ImageSource {
    /** The largest strength: a slope of one code in 8 bits becomes 45°. */
    private static final double MOST = 128;

    private final ImageSource base;
    private final ImageSource detail;
    private NormalMethod method = NormalMethod.REORIENTED;
    private double baseStrength = 1;
    private double detailStrength = 1;
    private boolean baseGreenDown;
    private boolean detailGreenDown;
    private @Nullable FloatImage where;
    private int width;
    private int height;
    private Task task = Task.silent();

    private LayNormals(ImageSource base, ImageSource detail) {
        this.base = base;
        this.detail = detail;
    }

    /**
     * Starts with reoriented normals and full strength for both.
     *
     * @param detail an image, or a source such as {@link Tiling}; a {@link ScalableImage} is made at the result's size
     * @throws IllegalArgumentException if an image does not hold normals
     */
    public static LayNormals of(ImageSource base, ImageSource detail) {
        if (Objects.requireNonNull(base, "base") instanceof FloatImage image) {
            Rows.normals("base", image);
        }
        if (Objects.requireNonNull(detail, "detail") instanceof FloatImage image) {
            Rows.normals("detail", image);
        }
        return new LayNormals(base, detail);
    }

    /** Sets how two normals become one. */
    public LayNormals method(NormalMethod value) {
        method = Objects.requireNonNull(value, "value");
        return this;
    }

    /**
     * Multiplies the base's slopes; 1 leaves them, 0 makes them flat.
     *
     * @throws IllegalArgumentException if it is not 0 … 128
     */
    public LayNormals baseStrength(double value) {
        baseStrength = Rows.between("baseStrength", value, 0, MOST);
        return this;
    }

    /**
     * Multiplies the detail's slopes; 1 leaves them, 0 makes them flat.
     *
     * @throws IllegalArgumentException if it is not 0 … 128
     */
    public LayNormals detailStrength(double value) {
        detailStrength = Rows.between("detailStrength", value, 0, MOST);
        return this;
    }

    /**
     * Multiplies the detail's slopes by a mask, texel by texel, besides its strength.
     *
     * @param mask one channel, the result's size; below 0 counts as 0, and so does what is not a number
     * @throws IllegalArgumentException if it has several channels
     */
    public LayNormals where(ImageSource mask) {
        where = Rows.single("where", mask.build());
        return this;
    }

    /** Turns the base's green over: for an image that was read with green up, though it was made with green down. */
    public LayNormals baseGreenDown() {
        baseGreenDown = true;
        return this;
    }

    /** Turns the detail's green over: for an image that was read with green up, though it was made with green down. */
    public LayNormals detailGreenDown() {
        detailGreenDown = true;
        return this;
    }

    /**
     * Sets the result's size, to which both sides are resampled; the base's by default.
     *
     * @throws IllegalArgumentException if a side is below 1 or the area above 2³¹ − 1 texels
     */
    public LayNormals size(int w, int h) {
        Tiling.requireSize(w, h);
        width = w;
        height = h;
        return this;
    }

    /** Sets who hears of progress and can cancel, and how much memory the result may take before it goes to a temporary file. */
    public LayNormals task(Task value) {
        task = Objects.requireNonNull(value, "value");
        return this;
    }

    /**
     * Returns what is worth knowing about both sides: normals that have no unit length or point inwards, green the wrong way round. What an option says of green
     * is taken into account.
     *
     * @cost a pass over each side
     */
    public Findings findings() {
        NormalCheck ofBase = NormalCheck.of(Rows.normals("base", base.build()), baseGreenDown, task);
        NormalCheck ofDetail = NormalCheck.of(Rows.normals("detail", detail.build()), detailGreenDown, task);
        return ofBase.findings("base", "baseGreenDown()").with(ofDetail.findings("detail", "detailGreenDown()"));
    }

    /**
     * Returns the laid normals, each of unit length within 2⁻²².
     *
     * @edge a base that points straight inwards stays as it is where the method has no direction for it
     * @cost linear in time; the result, and a resampled copy of a side of another size
     * @throws IllegalArgumentException                   if an image does not hold normals, or the mask has another size
     * @throws java.util.concurrent.CancellationException if the task was cancelled
     * @source Barré-Brisebois and Hill, Blending in Detail, 2012
     */
    @Override
    public FloatImage build() {
        FloatImage below = Rows.normals("base", width == 0 ? base.build() : Rows.sized(base, width, height, task));
        FloatImage above = Rows.normals("detail", Rows.sized(detail, below.width(), below.height(), task));
        FloatImage mask = where;
        if (mask != null) {
            Rows.requireSize("where", mask, below.width(), below.height());
        }
        FloatImage result = FloatImage.create(below.width(), below.height(), below.encoding(), task.memory());
        Rows.each(task, "laying normals", result.height(), y -> {
            float[] b = prepared(below, y, baseGreenDown);
            float[] d = prepared(above, y, detailGreenDown);
            NormalRows.scaleSlopes(b, (float) baseStrength);
            if (mask == null) {
                NormalRows.scaleSlopes(d, (float) detailStrength);
            } else {
                NormalRows.scaleSlopes(d, (float) detailStrength, weights(mask, y));
            }
            float[] laid = new float[b.length];
            NormalRows.lay(method, b, d, laid);
            Rows.write(result, y, laid);
        });
        return result;
    }

    private static float[] prepared(FloatImage image, int y, boolean greenDown) {
        float[] row = Rows.read(image, y);
        if (greenDown) {
            NormalRows.turnGreen(row);
        }
        NormalRows.unit(row);
        return row;
    }

    private static float[] weights(FloatImage mask, int y) {
        float[] weights = Rows.read(mask, y);
        for (int x = 0; x < weights.length; x++) {
            weights[x] = weights[x] > 0 ? Math.min(weights[x], (float) MOST) : 0;
        }
        return weights;
    }

    @Override
    public String toString() {
        return "normals laid over normals (" + method + "); build() or save makes the image";
    }
}
