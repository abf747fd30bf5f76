package org.estampage.bake;

import java.math.BigDecimal;
import java.math.MathContext;
import java.math.RoundingMode;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import java.util.Optional;
import org.estampage.finding.Finding;
import org.estampage.finding.Place;
import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.task.MemoryBudget;
import org.jspecify.annotations.Nullable;

/**
 * The causes of all missed samples of a tile. What it says does not hang on the order in which blocks come: it adds, keeps the largest, and keeps the
 * places that come first in the image.
 *
 * @threads safe for concurrent calls while blocks are added; read when all are
 */
final class MissLog {
    static final int CAUSES = MissCause.values().length;
    /** Lengths are told apart by the upper 12 bits below the sign of a float: steps of an eighth of a power of two. */
    private static final int STEP_BITS = 20;
    /** Lengths that are suggested are that much longer than the longest ray, so that rounding keeps none short. */
    private static final double SLACK = 1.0001;
    private static final Comparator<Place.Texel> IN_ROWS = Comparator.comparingInt(Place.Texel::y).thenComparingInt(Place.Texel::x);

    private final int width;
    private final int height;
    private final MemoryBudget memory;
    private final long[] counts = new long[CAUSES];
    private final float[] longest = new float[CAUSES];
    private final long[][] lengths = new long[CAUSES][1 << (31 - STEP_BITS)];
    private final List<List<Place.Texel>> places = new ArrayList<>();
    private @Nullable FloatImage causes;

    MissLog(int width, int height, MemoryBudget memory) {
        this.width = width;
        this.height = height;
        this.memory = memory;
        for (int c = 0; c < CAUSES; c++) {
            places.add(new ArrayList<>());
        }
    }

    /** What one block missed. */
    static final class Block {
        /** For each texel of the block the samples that missed by each cause. */
        private int[] ofTexel = new int[0];
        private final List<Sample> withLength = new ArrayList<>();

        /** A missed sample that a longer ray would have saved. */
        private record Sample(int cause, float length) {
        }

        void begin(int texels) {
            ofTexel = new int[texels * CAUSES];
            withLength.clear();
        }

        /**
         * Adds a sample.
         *
         * @param place  of its texel in the block
         * @param length from the low poly to the surface that would have counted; 0 where there is none
         */
        void add(int place, MissCause cause, float length) {
            ofTexel[place * CAUSES + cause.index()]++;
            if (length > 0) {
                withLength.add(new Sample(cause.index(), length));
            }
        }
    }

    synchronized void add(BlockArea area, Block block) {
        for (Block.Sample sample : block.withLength) {
            longest[sample.cause] = Math.max(longest[sample.cause], sample.length);
            lengths[sample.cause][Float.floatToRawIntBits(sample.length) >> STEP_BITS]++;
        }
        float[] commonest = new float[area.blockCount()];
        for (int place = 0; place < area.blockCount(); place++) {
            int most = 0;
            for (int c = 0; c < CAUSES; c++) {
                int samples = block.ofTexel[place * CAUSES + c];
                counts[c] += samples;
                if (samples > 0) {
                    places.get(c).add(new Place.Texel(area.x + place % area.blockWidth, area.y + place / area.blockWidth));
                }
                if (samples > most) {
                    most = samples;
                    commonest[place] = c + 1;
                }
            }
        }
        for (List<Place.Texel> of : places) {
            of.sort(IN_ROWS);
            of.subList(Math.min(Finding.MAX_PLACES, of.size()), of.size()).clear();
        }
        if (causes == null) {
            causes = image(width, height, memory);
        }
        causes.write(area.x, area.y, area.blockWidth, area.blockHeight, commonest);
    }

    /** Returns an image for causes, none of which is set. */
    static FloatImage image(int width, int height, MemoryBudget memory) {
        return FloatImage.create(width, height, Encoding.idNumbers(1), memory);
    }

    /** Says which texels are of this bake. */
    interface Now {
        boolean is(int x, int y);
    }

    /** Takes the causes of all other texels from an earlier bake. */
    synchronized void complete(FloatImage before, Now now) {
        FloatImage image = image(width, height, memory);
        float[] row = new float[width], old = new float[width];
        for (int y = 0; y < height; y++) {
            if (causes != null) {
                causes.read(0, y, width, 1, row);
            }
            before.read(0, y, width, 1, old);
            for (int x = 0; x < width; x++) {
                row[x] = !now.is(x, y) ? old[x] : causes == null ? 0 : row[x];
            }
            image.write(0, y, width, 1, row);
        }
        causes = image;
    }

    /** Returns the commonest cause of each texel by number, 0 where none is known; empty where nothing was missed. */
    Optional<FloatImage> causes() {
        return Optional.ofNullable(causes);
    }

    /** Returns a finding a cause: warnings where whole texels were missed, else notes. */
    List<Finding> findings(boolean texelsMissed) {
        List<Finding> findings = new ArrayList<>();
        for (MissCause cause : MissCause.values()) {
            long count = counts[cause.index()];
            if (count > 0) {
                String message = count + " samples " + message(cause);
                List<Place> where = List.copyOf(places.get(cause.index()));
                findings.add(texelsMissed
                        ? Finding.warning(cause.kind(), count, message, remedy(cause), where)
                        : Finding.note(cause.kind(), count, message, remedy(cause), where));
            }
        }
        return findings;
    }

    private static String message(MissCause cause) {
        return switch (cause) {
            case BACK_FACES -> "met only backs of the high poly";
            case BEYOND_REACH -> "met nothing because the high poly lies farther in than the rays go";
            case OUTSIDE_CAGE -> "met nothing because the high poly lies outside the cage there";
            case OTHER_PART -> "met nothing of their own part, but there is another part";
            case NOTHING -> "met nothing on their whole line";
            case NO_DIRECTION -> "have no ray: the cage lies on the low poly, and its directions cancel out";
        };
    }

    private String remedy(MissCause cause) {
        return switch (cause) {
            case BACK_FACES -> "turn the high poly's faces there, or close the holes through which its inside shows, or count backs, too: "
                    + "hits(HitRule.FIRST_FACE)" + (longest[cause.index()] > 0 ? " with depth(" + most(cause) + ")" : "");
            case BEYOND_REACH ->
                "depth(" + most(cause) + ") reaches all of it, depth(" + half(cause) + ") half; or bring the low poly nearer";
            case OUTSIDE_CAGE -> "let the cage be fitted, or move it out there: all of it lies within " + most(cause)
                    + " of the low poly, as by Cage.offset(low, " + most(cause) + "), half within " + half(cause);
            case OTHER_PART -> "call the high poly's part by the name of the low poly's, or bake without pairByName()";
            case NOTHING -> "close the high poly's holes, or let it reach beyond the low poly's borders; nothing, where that is meant";
            case NO_DIRECTION -> "give the cage an offset above 0";
        };
    }

    private String most(MissCause cause) {
        return roundedUp(longest[cause.index()]);
    }

    /** Returns a length that is enough for half of the samples, and at most an eighth too long. */
    private String half(MissCause cause) {
        long[] steps = lengths[cause.index()];
        long all = 0;
        for (long step : steps) {
            all += step;
        }
        long seen = 0;
        int at = 0;
        while (at < steps.length && 2 * (seen + steps[at]) < all) {
            seen += steps[at++];
        }
        return roundedUp(Math.min(longest[cause.index()], Float.intBitsToFloat((at + 1) << STEP_BITS)));
    }

    private static String roundedUp(double length) {
        return new BigDecimal(length * SLACK).round(new MathContext(4, RoundingMode.CEILING)).stripTrailingZeros().toString();
    }
}
