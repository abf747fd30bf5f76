package org.estampage.preview;

import java.util.List;
import java.util.Locale;
import org.estampage.finding.Finding;
import org.estampage.finding.Findings;
import org.estampage.image.FloatImage;
import org.estampage.raster.UvTile;

/**
 * How much a dressed low poly looks like its high poly, measured over many views.
 *
 * <p>Every pixel of a view that either mesh covers falls into one class: <em>matched</em>, both show the outside of the same piece of surface, and the angle
 * between their shading normals is known; <em>outline</em>, only one of them covers it; <em>apart</em>, both cover it, but with surfaces that lie too far
 * from each other to be the same, or with a back. {@link #error} is the one number to watch.
 *
 * @units angles in degrees; shares 0 … 1, of the pixels that either mesh covers unless they say otherwise
 * @threads immutable by contract
 */
public final class Comparison {
    /** In {@link View#angles}: neither mesh is there. */
    public static final float NOTHING = -1;
    /** In {@link View#angles}: only the low poly is there. */
    public static final float ONLY_LOW = -2;
    /** In {@link View#angles}: only the high poly is there. */
    public static final float ONLY_HIGH = -3;
    /** In {@link View#angles}: both are there, but not with the same piece of surface. */
    public static final float APART = -4;

    /**
     * One view, without perspective.
     *
     * @param x       unit direction from the meshes towards the viewer
     * @param y       unit direction from the meshes towards the viewer
     * @param z       unit direction from the meshes towards the viewer
     * @param error   of this view alone, as {@link Comparison#error}
     * @param angles  for each pixel the angle in degrees, or one of the negative marks
     */
    public record View(double x, double y, double z, double error, FloatImage angles) {
        /** Returns the angles as a picture: see {@link Comparison#picture}. */
        public FloatImage picture() {
            return AnglePicture.of(angles);
        }
    }

    /**
     * A place where the error is large.
     *
     * @param x            where its worst pixel met the low poly, in mesh units
     * @param y            where its worst pixel met the low poly
     * @param z            where its worst pixel met the low poly
     * @param tile         which UDIM tile that is on
     * @param texelX       which texel of the normal map, or of the picture over UV space where there is none
     * @param texelY       which texel, row 0 on top
     * @param triangle     which triangle of the low poly
     * @param view         the number of the view that saw it
     * @param meanDegrees  over the matched pixels around it
     * @param worstDegrees at that pixel
     * @param share        what part of all matched pixels' angles, added up, the pixels around it have
     */
    public record Spot(float x, float y, float z, UvTile tile, int texelX, int texelY, int triangle, int view, double meanDegrees,
            double worstDegrees, double share) {
        @Override
        public String toString() {
            return String.format(Locale.ROOT,
                    "(%.4g, %.4g, %.4g), texel (%d, %d) of %s, triangle %d: %.1f° on average, %.1f° at worst, %.1f %% of all, view %d", x,
                    y, z, texelX, texelY, tile, triangle, meanDegrees, worstDegrees, 100 * share, view);
        }
    }

    /** All that a comparison holds, in a form that is kept. */
    record Parts(List<View> views, AngleTally.Parts tally, List<Spot> spots, FloatImage texelErrors, List<Finding> findings) {
        Comparison whole() {
            return new Comparison(views, AngleTally.of(tally), spots, texelErrors, Findings.of(findings));
        }
    }

    private final List<View> views;
    private final AngleTally tally;
    private final List<Spot> spots;
    private final FloatImage texelErrors;
    private final Findings findings;

    Comparison(List<View> views, AngleTally tally, List<Spot> spots, FloatImage texelErrors, Findings findings) {
        this.views = List.copyOf(views);
        this.tally = tally;
        this.spots = List.copyOf(spots);
        this.texelErrors = texelErrors;
        this.findings = findings;
    }

    Parts parts() {
        return new Parts(views, tally.parts(), spots, texelErrors, List.copyOf(findings));
    }

    /**
     * Returns the one number to watch from bake to bake: the mean angle, in degrees, over all pixels that either mesh covers, where a pixel that is not
     * matched counts {@value Compare#UNMATCHED_DEGREES}. So it falls with better maps and with a low poly that follows the outline better, and can't be
     * made better by hiding pixels from the comparison. It is comparable between bakes of equal views and size.
     */
    public double error() {
        return tally.error();
    }

    /** Returns the median angle over matched pixels; NaN where there are none. */
    public double median() {
        return percentile(50);
    }

    /**
     * Returns the angle that so many per cent of the matched pixels don't exceed, to 0.01°; NaN where there are none.
     *
     * @throws IllegalArgumentException if it is not 0 … 100
     */
    public double percentile(double percent) {
        if (!(percent >= 0 && percent <= 100)) {
            throw new IllegalArgumentException("percent = " + percent + " must be 0 … 100");
        }
        return tally.percentile(percent);
    }

    /** Returns the largest angle over matched pixels; NaN where there are none. */
    public double largest() {
        return tally.matched() == 0 ? Double.NaN : tally.largest();
    }

    /** Returns the share of pixels that are matched, with an angle of at most so many degrees, to 0.01°. */
    public double within(double degrees) {
        return tally.within(degrees);
    }

    /** Returns the share of pixels that only one of the meshes covers. */
    public double outlineDifference() {
        return tally.share(tally.outline());
    }

    /** Returns the share of pixels where both are seen, but not the same piece of surface: a bump hides what the low poly shows beside it. */
    public double apart() {
        return tally.share(tally.apart());
    }

    /** Returns the share of the low poly's seen surface, by pixels, whose texels met nothing of the high poly when they were baked. */
    public double missed() {
        return tally.low() == 0 ? 0 : (double) tally.missed() / tally.low();
    }

    /** Returns how many pixels either mesh covers, of all views. */
    public long pixelCount() {
        return tally.all();
    }

    /** Returns the views. */
    public List<View> views() {
        return views;
    }

    /** Returns the number of the view with the largest error, the first of equals. */
    public int worstView() {
        int worst = 0;
        for (int v = 1; v < views.size(); v++) {
            worst = views.get(v).error() > views.get(worst).error() ? v : worst;
        }
        return worst;
    }

    /** Returns where most of the angles come from: up to 16 places, the worst first. */
    public List<Spot> spots() {
        return spots;
    }

    /** Returns for each texel of UV space the mean angle over all views in degrees, −1 where no pixel was matched. UDIM tiles stand side by side. */
    public FloatImage texelErrors() {
        return texelErrors;
    }

    /** Returns {@link #texelErrors} as a picture, in the colours of {@link #picture}. */
    public FloatImage texelPicture() {
        return AnglePicture.of(texelErrors);
    }

    /**
     * Returns all views side by side, six in a row: the angle from black at 0° over blue and orange to white at 45° and above, grey where neither mesh is,
     * green where only the low poly is, violet where only the high poly is, dark violet where they are apart.
     */
    public FloatImage picture() {
        return AnglePicture.sheet(views.stream().map(View::angles).toList());
    }

    /** Returns what was noticed. */
    public Findings findings() {
        return findings;
    }

    /** Returns a summary of a few lines for people. */
    public String summary() {
        StringBuilder s = new StringBuilder();
        s.append(String.format(Locale.ROOT, "error     %8.2f° on average over %,d pixels of %d views, %.0f° where nothing matches%n",
                error(),
                pixelCount(), views.size(), Compare.UNMATCHED_DEGREES));
        s.append(String.format(Locale.ROOT, "normals   %8.2f° median, %.2f° for 95 %%, %.1f° at most; %.1f %% of all within 5°%n", median(),
                percentile(95), largest(), 100 * within(5)));
        s.append(String.format(Locale.ROOT, "outline   %8.2f %% covered by one mesh only, %.2f %% by different surfaces%n",
                100 * outlineDifference(), 100 * apart()));
        s.append(String.format(Locale.ROOT, "missed    %8.2f %% of the low poly that is seen%n", 100 * missed()));
        if (!spots.isEmpty()) {
            s.append("worst     ").append(spots.get(0)).append(System.lineSeparator());
        }
        if (!findings.isEmpty()) {
            s.append(findings).append(System.lineSeparator());
        }
        return s.toString().stripTrailing();
    }

    @Override
    public String toString() {
        return summary();
    }
}
