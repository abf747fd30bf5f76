package org.estampage.material;

import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.Objects;
import org.estampage.finding.Finding;
import org.estampage.finding.Findings;
import org.estampage.finding.Place;
import org.estampage.finding.Tally;
import org.estampage.image.FloatImage;
import org.estampage.task.Task;

/**
 * What an image of tangent-space normals looks like: whether they have unit length, point outwards, and have green up.
 *
 * <p>Green is guessed from the slopes. Normals of a height h have the slopes p = −x/z = ∂h/∂u and q = −y/z = ∂h/∂v, so that ∂p/∂v = ∂q/∂u; with green the
 * wrong way round q has the other sign, and ∂p/∂v = −∂q/∂u. The {@linkplain #greenEvidence() evidence} is 2 Σ (∂p/∂v)(∂q/∂u) / Σ ((∂p/∂v)² + (∂q/∂u)²), between −1,
 * green down, and 1, green up, over the image; it counts only if it is large and lies well outside of what its scatter over the image's blocks would make by
 * chance.
 *
 * @threads immutable
 */
public final class NormalCheck {
    /** Where green points. */
    public enum Green {
        /** Towards rising v, as glTF 2.0 has it. */
        UP,
        /** Against rising v. */
        DOWN,
        /** The image does not say: it is flat, its slopes turn in one direction only, or they are no height's. */
        UNKNOWN
    }

    /** How far a length may be from 1: 8 bits move it by up to √3/255 = 0.0068, and JPEG somewhat more. */
    public static final double LENGTH_TOLERANCE = 0.01;

    /** Evidence below this is none: such an image is mostly noise. Chosen by trial; baked maps and textures gave 0.3 to 1. */
    private static final double LEAST_EVIDENCE = 0.1;
    /** How many times its standard error the evidence must be: beyond chance for any number of images. */
    private static final double ERRORS = 5;
    /** Blocks with evidence that are enough for a standard error. */
    private static final int LEAST_BLOCKS = 8;
    private static final int BLOCK = 16;
    /** Slopes beyond this are left out of the evidence: 1/z is all rounding there, and steps have no slope. */
    private static final double STEEPEST = 4;
    /** The least mean square of the slopes' turning a block needs: half a code of 8 bits, (1/255)²/4. */
    private static final double LEAST_TURNING = 1 / (4 * 255.0 * 255.0);

    private final long texels;
    private final Tally notUnit = new Tally();
    private final Tally inwards = new Tally();
    private final Tally notFinite = new Tally();
    private double evidence;
    private Green green = Green.UNKNOWN;

    private NormalCheck(long texels) {
        this.texels = texels;
    }

    /**
     * Looks at an image.
     *
     * @cost one pass; a few rows of memory and two numbers a block of 16 × 16 texels
     * @throws IllegalArgumentException                   if it does not hold normals
     * @throws java.util.concurrent.CancellationException if the task was cancelled
     */
    public static NormalCheck of(FloatImage image, Task task) {
        return of(image, false, task);
    }

    static NormalCheck of(FloatImage image, boolean greenDown, Task task) {
        Rows.normals("image", Objects.requireNonNull(image, "image"));
        NormalCheck check = new NormalCheck((long) image.width() * image.height());
        Task.Stage stage = task.stage("checking normals", image.height());
        int across = (image.width() + BLOCK - 1) / BLOCK, down = (image.height() + BLOCK - 1) / BLOCK;
        // Twice the product and the sum of squares of the slopes' turning, and how many places they are from, a block each.
        double[] products = new double[across * down], squares = new double[across * down];
        int[] counts = new int[across * down];
        float[] above = new float[0];
        for (int y = 0; y < image.height(); y++) {
            float[] row = Rows.read(image, y);
            if (greenDown) {
                NormalRows.turnGreen(row);
            }
            check.count(row, y);
            if (y > 0) {
                gather(above, row, y / BLOCK * across, products, squares, counts);
            }
            above = row;
            stage.advance(1);
        }
        check.judge(products, squares, counts);
        return check;
    }

    private void count(float[] row, int y) {
        for (int x = 0; x < row.length / 3; x++) {
            float nx = row[3 * x], ny = row[3 * x + 1], nz = row[3 * x + 2];
            double length = Math.sqrt((double) nx * nx + (double) ny * ny + (double) nz * nz);
            if (!Double.isFinite(length)) {
                notFinite.add(new Place.Texel(x, y));
                continue;
            }
            if (Math.abs(length - 1) > LENGTH_TOLERANCE) {
                notUnit.add(new Place.Texel(x, y));
            }
            if (nz <= 0) {
                inwards.add(new Place.Texel(x, y));
            }
        }
    }

    /** Adds the places between two rows: in the middle of 2 × 2 texels both differences are of the same point. */
    private static void gather(float[] above, float[] below, int firstBlock, double[] products, double[] squares, int[] counts) {
        for (int x = 0; x + 1 < below.length / 3; x++) {
            int a = 3 * x, b = a + 3;
            double pAboveLeft = slope(above, a, 0), pAboveRight = slope(above, b, 0), pLeft = slope(below, a, 0),
                    pRight = slope(below, b, 0);
            double qAboveLeft = slope(above, a, 1), qAboveRight = slope(above, b, 1), qLeft = slope(below, a, 1),
                    qRight = slope(below, b, 1);
            double alongV = (pAboveLeft + pAboveRight - pLeft - pRight) / 2; // v rises upwards, rows downwards
            double alongU = (qAboveRight + qRight - qAboveLeft - qLeft) / 2;
            double square = alongV * alongV + alongU * alongU;
            if (square < Double.POSITIVE_INFINITY) { // not where a slope is none
                int block = firstBlock + x / BLOCK;
                products[block] += 2 * alongV * alongU;
                squares[block] += square;
                counts[block]++;
            }
        }
    }

    private static double slope(float[] row, int at, int component) {
        double slope = -row[at + component] / (double) row[at + 2];
        return row[at + 2] > 0 && Math.abs(slope) <= STEEPEST ? slope : Double.NaN;
    }

    private void judge(double[] products, double[] squares, int[] counts) {
        // Each block has one voice, so that a few steps, seams and steep places don't drown the rest.
        int blocks = 0;
        double sum = 0, sumOfSquares = 0;
        for (int i = 0; i < counts.length; i++) {
            if (squares[i] > LEAST_TURNING * counts[i]) {
                double voice = products[i] / squares[i];
                sum += voice;
                sumOfSquares += voice * voice;
                blocks++;
            }
        }
        if (blocks < LEAST_BLOCKS) {
            return;
        }
        evidence = sum / blocks;
        double error = Math.sqrt(Math.max(0, sumOfSquares / blocks - evidence * evidence) / blocks);
        if (Math.abs(evidence) > LEAST_EVIDENCE && Math.abs(evidence) > ERRORS * error) {
            green = evidence > 0 ? Green.UP : Green.DOWN;
        }
    }

    /** Returns which way green seems to point. */
    public Green green() {
        return green;
    }

    /** Returns the evidence for green up, −1 … 1; 0 where nothing speaks for either. */
    public double greenEvidence() {
        return evidence;
    }

    /** Returns the share of texels whose length is not 1 within {@link #LENGTH_TOLERANCE}, 0 … 1. */
    public double notUnitShare() {
        return (double) notUnit.count() / texels;
    }

    /** Returns the share of texels that point inwards or along the surface: stored blue is at most one half. */
    public double inwardsShare() {
        return (double) inwards.count() / texels;
    }

    /** Returns the share of texels with a component that is not finite. */
    public double notFiniteShare() {
        return (double) notFinite.count() / texels;
    }

    /**
     * Returns a finding for each oddity: {@code normals-not-finite}, {@code normals-not-unit}, {@code normals-inwards}, {@code normals-green-down}, and as a note
     * {@code normals-green-unknown}.
     */
    public Findings findings() {
        return findings("image", "tile(image, 1, 1).greenDown()");
    }

    Findings findings(String name, String cure) {
        List<Finding> found = new ArrayList<>();
        if (!notFinite.isEmpty()) {
            found.add(Finding.warning("normals-not-finite", notFinite.count(),
                    name + ": " + notFinite.count() + " normals are not finite", "they are taken as flat; look at what made them",
                    notFinite.places()));
        }
        if (!notUnit.isEmpty()) {
            found.add(Finding.note("normals-not-unit", notUnit.count(),
                    name + ": " + percent(notUnitShare()) + " of the normals don't have unit length",
                    "only their direction is taken; an image resized or compressed by other means looks so", notUnit.places()));
        }
        if (!inwards.isEmpty()) {
            found.add(Finding.warning("normals-inwards", inwards.count(),
                    name + ": " + percent(inwardsShare()) + " of the normals have a stored blue of one half or less",
                    "tangent-space normals point outwards; is this an image of object-space normals, or of something else?",
                    inwards.places()));
        }
        if (green == Green.DOWN) {
            found.add(Finding.warning("normals-green-down", 1,
                    String.format(Locale.ROOT, "%s: green seems to point down (evidence %.2f of -1)", name, evidence),
                    "what stands out would be lit as if it went in; turn it over with " + cure, List.of()));
        } else if (green == Green.UNKNOWN) {
            found.add(Finding.note("normals-green-unknown", 1, name + ": whether green points up can't be seen from the slopes",
                    "nothing, if you know that it does; else " + cure, List.of()));
        }
        return Findings.of(found);
    }

    private static String percent(double share) {
        return String.format(Locale.ROOT, share < 0.001 ? "%.3f %%" : "%.1f %%", 100 * share);
    }

    @Override
    public String toString() {
        return String.format(Locale.ROOT, "%d normals: %s not of unit length, %s inwards, green %s (evidence %.2f)", texels,
                percent(notUnitShare()), percent(inwardsShare()), green.name().toLowerCase(Locale.ROOT), evidence);
    }
}
