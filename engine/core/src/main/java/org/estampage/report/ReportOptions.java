package org.estampage.report;

import java.util.ArrayList;
import java.util.List;
import java.util.Objects;
import org.estampage.image.FloatImage;

/**
 * How a report is made, and what is shown in it beside the bake.
 *
 * @param title         the name on the page; blank for the low poly's
 * @param texels        the longest side of the page's copies of maps
 * @param highTriangles the most triangles of the copy of the high polys; 0 leaves it out
 * @param pictures      shown in a section of their own, in order
 * @param numbers       likewise
 * @threads immutable by contract
 */
public record ReportOptions(String title, int texels, int highTriangles, List<Picture> pictures, List<Measure> numbers) {
    /** The low poly's name, copies of at most 1024 texels a side, a high poly of at most 80,000 triangles, and nothing else. */
    public static final ReportOptions USUAL = new ReportOptions("", 1024, 80_000, List.of(), List.of());

    private static final int LEAST_TEXELS = 16;
    private static final int MOST_TEXELS = 8192;
    private static final int LEAST_HIGH = 100;
    private static final int MOST_HIGH = 1_000_000;

    /**
     * A picture for the page.
     *
     * @param title what it shows
     * @param image the picture; beyond 2048 pixels a side the page shows it smaller
     */
    public record Picture(String title, FloatImage image) {
        /** Checks that nothing is null. */
        public Picture {
            Objects.requireNonNull(title, "title");
            Objects.requireNonNull(image, "image");
        }
    }

    /**
     * A number for the page.
     *
     * @param label what it is
     * @param value the number
     * @param unit  its unit; blank where it has none
     * @param note  how it is to be read; may be blank
     */
    public record Measure(String label, double value, String unit, String note) {
        /** Checks that nothing is null. */
        public Measure {
            Objects.requireNonNull(label, "label");
            Objects.requireNonNull(unit, "unit");
            Objects.requireNonNull(note, "note");
        }
    }

    /**
     * Checks the parts and copies the lists.
     *
     * @throws IllegalArgumentException if {@code texels} is not 16 … 8192, or {@code highTriangles} neither 0 nor 100 … 1,000,000
     */
    public ReportOptions {
        Objects.requireNonNull(title, "title");
        if (texels < LEAST_TEXELS || texels > MOST_TEXELS) {
            throw new IllegalArgumentException("texels = " + texels + " must be " + LEAST_TEXELS + " … " + MOST_TEXELS);
        }
        if (highTriangles != 0 && (highTriangles < LEAST_HIGH || highTriangles > MOST_HIGH)) {
            throw new IllegalArgumentException(
                    "highTriangles = " + highTriangles + " must be " + LEAST_HIGH + " … " + MOST_HIGH + ", or 0 for no high poly");
        }
        pictures = List.copyOf(pictures);
        numbers = List.copyOf(numbers);
    }

    /** Returns these options with another name on the page. */
    public ReportOptions withTitle(String value) {
        return new ReportOptions(value, texels, highTriangles, pictures, numbers);
    }

    /** Returns these options with another longest side of the page's copies of maps, in texels. */
    public ReportOptions withTexels(int value) {
        return new ReportOptions(title, value, highTriangles, pictures, numbers);
    }

    /** Returns these options with at most so many triangles of the high polys, or none of them for 0. */
    public ReportOptions withHighTriangles(int value) {
        return new ReportOptions(title, texels, value, pictures, numbers);
    }

    /** Returns these options with one picture more, such as a lit preview. */
    public ReportOptions withPicture(String caption, FloatImage image) {
        return new ReportOptions(title, texels, highTriangles, with(pictures, new Picture(caption, image)), numbers);
    }

    /** Returns these options with one number more, such as a difference that was measured. */
    public ReportOptions withNumber(String label, double value, String unit, String note) {
        return new ReportOptions(title, texels, highTriangles, pictures, with(numbers, new Measure(label, value, unit, note)));
    }

    private static <T> List<T> with(List<T> list, T more) {
        List<T> all = new ArrayList<>(list);
        all.add(more);
        return all;
    }
}
