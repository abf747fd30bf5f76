package org.estampage.material;

import java.util.Objects;
import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.image.ImageSource;
import org.estampage.image.Range;
import org.estampage.image.RepeatedImage;
import org.estampage.task.Task;

/**
 * An image repeated across and down, turned and shifted if asked, filtered through its mip levels so that small tiles don't flicker.
 *
 * <p>Normals turn with the image. They keep their slopes whatever the number of repeats: a material's relief scales with it.
 *
 * @space uv: the lower left corner of a tile lies in the result's lower left corner
 * @threads confined; {@link #build()} runs in the caller's fork-join pool, else in the common one, with the same values for any number of threads
 */
public final class Tiling implements ScalableImage {
    /** Lattice cells of the variation across and down, at least: with one its field would be the same everywhere. */
    private static final int FEWEST_CELLS = 2;
    /** And at most, so that their numbers stay whole. */
    private static final int MOST_CELLS = 1 << 20;
    /** How much of the field's range −1 … 1 is a passage from one look to the other. */
    private static final double PASSAGE = 0.35;

    private final ImageSource source;
    private final double across;
    private final double down;
    private double degrees;
    private double shiftU;
    private double shiftV;
    private double patch;
    private double patchDegrees;
    private int seed;
    private boolean greenDown;
    private int width;
    private int height;
    private Task task = Task.silent();

    private Tiling(ImageSource source, double across, double down) {
        this.source = source;
        this.across = across;
        this.down = down;
    }

    /**
     * Starts with so many tiles, unturned, one corner in the corner.
     *
     * @param across tiles over the result's width; where it is a whole number, as {@code down}, the result repeats without a seam, too
     * @throws IllegalArgumentException if a number is not positive and finite
     */
    public static Tiling of(ImageSource image, double across, double down) {
        return new Tiling(Objects.requireNonNull(image, "image"), Rows.positive("across", across), Rows.positive("down", down));
    }

    /**
     * Turns the tiles about the result's middle.
     *
     * @param angle degrees, counter-clockwise as one sees the image; by others than multiples of 90 the result has seams where it repeats
     * @throws IllegalArgumentException if it is not finite
     */
    public Tiling rotate(double angle) {
        degrees = Rows.finite("rotate", angle);
        return this;
    }

    /**
     * Shifts the pattern, before it is turned.
     *
     * @param u tiles to the right
     * @param v tiles upwards
     * @throws IllegalArgumentException if a number is not finite
     */
    public Tiling offset(double u, double v) {
        shiftU = Rows.finite("offset u", u);
        shiftV = Rows.finite("offset v", v);
        return this;
    }

    /**
     * Breaks the visible repetition: patches take the pattern from another place, with soft passages between that keep its contrast.
     *
     * @param tiles how many tiles wide a patch is, about; positive
     * @param turn  degrees that the patches' pattern is turned by; 0 for patterns with a direction
     * @param seed  chooses which patches and which place
     * @source the passages: Heitz and Neyret, High-Performance By-Example Noise using a Histogram-Preserving Blending Operator, 2018, section 3, the blending that keeps
     *         variance; we leave out their change to a normal distribution
     * @throws IllegalArgumentException if {@code tiles} is not positive and finite or {@code turn} not finite
     */
    public Tiling vary(double tiles, double turn, int seed) {
        patch = Rows.positive("vary tiles", tiles);
        patchDegrees = Rows.finite("vary turn", turn);
        this.seed = seed;
        return this;
    }

    /**
     * Turns green over: for an image of normals that was read with green up, though it was made with green down.
     */
    public Tiling greenDown() {
        greenDown = true;
        return this;
    }

    /**
     * Sets the size of the result; without it the tiles keep their texels, or about.
     *
     * @throws IllegalArgumentException if a side is below 1 or the area above 2³¹ − 1 texels
     */
    public Tiling size(int w, int h) {
        requireSize(w, h);
        width = w;
        height = h;
        return this;
    }

    static void requireSize(int w, int h) {
        if (w < 1 || h < 1 || (long) w * h > Integer.MAX_VALUE) {
            throw new IllegalArgumentException("size " + w + " × " + h + " must be positive and below 2^31 texels");
        }
    }

    /** Sets who hears of progress and can cancel, and how much memory the result may take before it goes to a temporary file. */
    public Tiling task(Task value) {
        task = Objects.requireNonNull(value, "value");
        return this;
    }

    /**
     * Returns the tiles at the size that was set, else texel for texel.
     *
     * @cost linear in time; the result, the levels of the image, and nothing besides
     * @throws IllegalArgumentException                   if the image holds identifiers, which must not be mixed, if green is to be turned over in something else than
     *                                                    normals, or the result has more than 2³¹ − 1 texels
     * @throws java.util.concurrent.CancellationException if the task was cancelled
     */
    @Override
    public FloatImage build() {
        FloatImage image = source.build();
        return width > 0
                ? tiles(image, width, height)
                : tiles(image, (int) Math.min(Integer.MAX_VALUE, Math.max(1, Math.round(image.width() * across))),
                        (int) Math.min(Integer.MAX_VALUE, Math.max(1, Math.round(image.height() * down))));
    }

    @Override
    public FloatImage build(int w, int h) {
        return tiles(source.build(), w, h);
    }

    private FloatImage tiles(FloatImage image, int w, int h) {
        requireSize(w, h);
        if (greenDown) {
            Rows.normals("greenDown", image);
        }
        RepeatedImage repeated = RepeatedImage.of(image, task);
        // A tile's sides in texels of the result: turning is done there, where both axes have one measure.
        double tileWidth = w / across, tileHeight = h / down;
        Pattern plain = new Pattern(tileWidth, tileHeight, degrees, shiftU, shiftV, w / 2.0, h / 2.0);
        double level = StrictMath.log(Math.max(image.width() / tileWidth, image.height() / tileHeight)) / StrictMath.log(2);
        FloatImage result = FloatImage.create(w, h, image.encoding(), task.memory());
        boolean normals = isNormals(image);
        Variation variation = patch > 0 ? new Variation(repeated, plain, level) : null;
        Rows.each(task, "tiling", h, y -> {
            float[] row = new float[w * image.channels()];
            plain.look(repeated, level, y, h, row);
            if (normals) {
                plain.turn(row, greenDown);
            }
            if (variation != null) {
                variation.mixInto(row, y, h);
            }
            if (normals) {
                NormalRows.unit(row);
            }
            Rows.write(result, y, row);
        });
        return result;
    }

    /** A place of the pattern for each texel: shifted in tiles, turned about a centre in texels. */
    private record Pattern(double tileWidth, double tileHeight, double degrees, double shiftU, double shiftV, double centreX,
            double centreY) {
        double cos() {
            return exact(degrees + 90);
        }

        double sin() {
            return exact(degrees);
        }

        /** Returns a sine that is exact at multiples of 90°. */
        private static double exact(double degrees) {
            double turn = degrees - 360 * Math.floor(degrees / 360);
            return turn == 0 || turn == 180 ? 0 : turn == 90 ? 1 : turn == 270 ? -1 : StrictMath.sin(StrictMath.toRadians(turn));
        }

        void look(RepeatedImage image, double level, int y, int height, float[] dest) {
            double cos = cos(), sin = sin();
            double up = height - y - 0.5 - centreY;
            int channels = image.image().channels();
            for (int x = 0; x < dest.length / channels; x++) {
                double right = x + 0.5 - centreX;
                // Back by the turn: what stands here came from there.
                double px = cos * right + sin * up + centreX, py = cos * up - sin * right + centreY;
                image.lookUp(px / tileWidth - shiftU, py / tileHeight - shiftV, level, dest, x * channels);
            }
        }

        void turn(float[] normals, boolean greenDown) {
            if (greenDown) {
                NormalRows.turnGreen(normals);
            }
            double cos = cos(), sin = sin();
            if (sin == 0 && cos == 1) {
                return; // to the bit
            }
            for (int i = 0; i < normals.length; i += 3) {
                double x = normals[i], y = normals[i + 1];
                normals[i] = (float) (cos * x - sin * y);
                normals[i + 1] = (float) (sin * x + cos * y);
            }
        }
    }

    /** The other look of the pattern, and where it stands. */
    private final class Variation {
        private final RepeatedImage image;
        private final Pattern other;
        private final double level;
        private final int cellsAcross;
        private final int cellsDown;
        private final float[] mean;

        Variation(RepeatedImage image, Pattern plain, double level) {
            this.image = image;
            this.level = level;
            cellsAcross = cells(across);
            cellsDown = cells(down);
            other = new Pattern(plain.tileWidth, plain.tileHeight, degrees + patchDegrees,
                    shiftU + HashNoise.unit(HashNoise.hash(1, 0, 0, seed)), shiftV + HashNoise.unit(HashNoise.hash(2, 0, 0, seed)),
                    plain.centreX, plain.centreY);
            mean = new float[image.image().channels()];
            image.lookUp(0, 0, Double.POSITIVE_INFINITY, mean, 0);
        }

        private int cells(double tiles) {
            return (int) Math.max(FEWEST_CELLS, Math.min(MOST_CELLS, Math.round(tiles / patch)));
        }

        void mixInto(float[] row, int y, int height) {
            float[] second = new float[row.length];
            other.look(image, level, y, height, second);
            Encoding encoding = image.image().encoding();
            int channels = mean.length, width = row.length / channels;
            boolean normals = isNormals(image.image());
            if (normals) {
                other.turn(second, greenDown);
            }
            double v = (height - y - 0.5) / height * cellsDown;
            for (int x = 0; x < width; x++) {
                double field = HashNoise.repeatedValue((x + 0.5) / width * cellsAcross, v, cellsAcross, cellsDown, seed);
                double w = Math.min(1, Math.max(0, field / PASSAGE + 0.5));
                double keeps = 1 / Math.sqrt(w * w + (1 - w) * (1 - w)); // the spread about the mean, where both looks are independent
                for (int c = 0; c < channels; c++) {
                    int i = x * channels + c;
                    double about = normals ? 0 : mean[c];
                    double mixed = w * (second[i] - about) + (1 - w) * (row[i] - about);
                    // A normal's spread is in x and y; its z follows with the length.
                    row[i] = normals ? (float) (c == 2 ? mixed : keeps * mixed) : within(encoding.ranges().get(c), about + keeps * mixed);
                }
            }
        }

        private static float within(Range range, double value) {
            double least = Math.min(range.atZero(), range.atOne()), most = Math.max(range.atZero(), range.atOne());
            return (float) Math.min(most, Math.max(least, value));
        }
    }

    private static boolean isNormals(FloatImage image) {
        return image.encoding().kind() == Encoding.Kind.NORMAL && image.channels() == 3;
    }

    @Override
    public String toString() {
        return across + " × " + down + " tiles; build() or save makes the image";
    }
}
