package org.estampage.material;

import java.util.ArrayList;
import java.util.List;
import java.util.Objects;
import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.image.ImageSource;
import org.estampage.image.Mips;
import org.estampage.image.Range;
import org.estampage.task.Task;

/**
 * Roughness for each mip level of a normal map: what normals lose in a level, since a texel holds one for many, is added to its roughness, so that
 * a surface shines from afar as it does from near.
 *
 * <p>A level's mean normal is the shorter, the more its texels differ: a length of m tells a variance of the slopes of (1 − m)/m along each axis. Microfacets
 * have α²/2, α the square of the roughness. Both add up, whatever the shape: α² becomes the mean of α² and 2 (1 − m)/m, 1 at most.
 *
 * @threads confined; {@link #build} runs in the caller's fork-join pool, else in the common one, with the same values for any number of threads
 * @source Toksvig, Mipmapping Normal Maps, 2005 (from memory): the variance of a mean's length; Olano and Baker, LEAN Mapping, 2010 (from memory): variances
 *         add, α² is twice that of Beckmann's slopes; α the square of the roughness as in glTF 2.0, appendix B
 */
public final class RoughnessMips {
    private final FloatImage normal;
    private final FloatImage roughness;
    private Task task = Task.silent();

    private RoughnessMips(FloatImage normal, FloatImage roughness) {
        this.normal = normal;
        this.roughness = roughness;
    }

    /**
     * Starts with two images of one size. The normals' lengths count for nothing: 8 bits move them.
     *
     * @throws IllegalArgumentException if the first does not hold normals, the second has several channels, or the sizes differ
     */
    public static RoughnessMips of(ImageSource normal, ImageSource roughness) {
        FloatImage normals = Rows.normals("normal", normal.build());
        FloatImage rough = Rows.single("roughness", roughness.build());
        Rows.requireSize("roughness", rough, normals.width(), normals.height());
        return new RoughnessMips(normals, rough);
    }

    /** Sets who hears of progress and can cancel, and how much memory the levels may take before they go to temporary files. */
    public RoughnessMips task(Task value) {
        task = Objects.requireNonNull(value, "value");
        return this;
    }

    /**
     * Returns the levels; number 0 is the roughness itself, unchanged.
     *
     * @edge a roughness below 0 or not a number counts as 0, one above 1 as 1; where normals cancel out it is 1
     * @cost linear in time; levels of both images
     * @throws java.util.concurrent.CancellationException if the task was cancelled
     */
    public List<FloatImage> build() {
        FloatImage unit = FloatImage.create(normal.width(), normal.height(), Encoding.normal(), task.memory());
        FloatImage squares = FloatImage.create(normal.width(), normal.height(), Encoding.data(Range.UNIT, 1), task.memory());
        Rows.each(task, "roughness", normal.height(), y -> {
            float[] n = Rows.read(normal, y), r = Rows.read(roughness, y);
            NormalRows.unit(n);
            for (int x = 0; x < r.length; x++) {
                double alpha = r[x] > 0 ? Math.min(1, (double) r[x] * r[x]) : 0;
                r[x] = (float) (alpha * alpha);
            }
            Rows.write(unit, y, n);
            Rows.write(squares, y, r);
        });
        List<FloatImage> means = Mips.of(unit).task(task).build(), own = Mips.of(squares).task(task).build();
        List<FloatImage> levels = new ArrayList<>(List.of(roughness));
        for (int level = 1; level < means.size(); level++) {
            levels.add(level(means.get(level), own.get(level)));
        }
        return List.copyOf(levels);
    }

    private FloatImage level(FloatImage mean, FloatImage own) {
        FloatImage result = FloatImage.create(own.width(), own.height(), roughness.encoding(), task.memory());
        Rows.each(task, "roughness", result.height(), y -> {
            float[] n = Rows.read(mean, y), row = Rows.read(own, y);
            for (int x = 0; x < row.length; x++) {
                double nx = n[3 * x], ny = n[3 * x + 1], nz = n[3 * x + 2];
                double length = Math.min(1, Math.sqrt(nx * nx + ny * ny + nz * nz)); // rounding may make it longer
                double square = length > 0 ? row[x] + 2 * (1 - length) / length : 1;
                row[x] = (float) Math.sqrt(Math.sqrt(Math.min(1, square)));
            }
            Rows.write(result, y, row);
        });
        return result;
    }
}
