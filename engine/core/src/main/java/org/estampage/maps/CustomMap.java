package org.estampage.maps;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.Collections;
import java.util.List;
import java.util.Objects;
import java.util.Optional;
import java.util.concurrent.CancellationException;
import org.estampage.bake.HemisphereAnswers;
import org.estampage.bake.MapFormat;
import org.estampage.bake.RangeRule;
import org.estampage.bake.Reduction;
import org.estampage.bake.SurfaceHits;
import org.estampage.bake.SurfaceMap;
import org.estampage.bvh.HemisphereQuery;
import org.estampage.image.Encoding;
import org.estampage.image.Range;
import org.jspecify.annotations.Nullable;

/**
 * A map of one's own: a function that is asked for the values of each sample, as in
 * {@code CustomMap.of("snow", 1, (in, out) -> out[0] = Math.max(0, in.normal(1)))}.
 *
 * <p>In a job:
 * {@snippet class = "org.estampage.cookbook.CookbookTest" region = "lambdaMap"}
 *
 * @threads immutable; the function is called by several threads at once, so it must not change anything but {@code out}
 */
public final class CustomMap implements SurfaceMap {
    /** Gives the values of a sample. */
    @FunctionalInterface
    public interface Values {
        /**
         * Fills in the values of a sample.
         *
         * @param in  what is known about it, valid during the call
         * @param out a float a channel, the background before the call
         */
        void of(Sample in, float[] out);
    }

    /**
     * A sample that hit the high poly. Vectors are asked for by axis: 0, 1, 2 for x, y, z of object space.
     *
     * @units lengths in mesh units
     * @threads confined
     */
    public static final class Sample {
        private final SurfaceHits hits;
        private final HemisphereAnswers answers;
        private int s;

        private Sample(SurfaceHits hits, HemisphereAnswers answers) {
            this.hits = hits;
            this.answers = answers;
        }

        private int at(int axis) {
            return 3 * s + Objects.checkIndex(axis, 3);
        }

        private static float barycentric(int corner, float b1, float b2) {
            return switch (Objects.checkIndex(corner, 3)) {
                case 0 -> 1f - b1 - b2;
                case 1 -> b1;
                default -> b2;
            };
        }

        /** Returns a coordinate of the point on the high poly. */
        public float position(int axis) {
            return hits.highPositions[at(axis)];
        }

        /** Returns a component of the high poly's unit normal, its own, interpolated. */
        public float normal(int axis) {
            return hits.highNormals[at(axis)];
        }

        /** Returns which high poly was hit, by its place in the job. */
        public int highMesh() {
            return hits.highMeshes[s];
        }

        /** Returns which triangle of that high poly was hit. */
        public int highTriangle() {
            return hits.highTriangles[s];
        }

        /** Returns how much of the point is corner 0, 1 or 2 of that triangle: 0 … 1. */
        public float highBarycentric(int corner) {
            return barycentric(corner, hits.highB1[s], hits.highB2[s]);
        }

        /** Returns a coordinate of the point on the low poly. */
        public float lowPosition(int axis) {
            return hits.lowPositions[at(axis)];
        }

        /** Returns a component of the low poly's normal by the job's frame rule: usually as interpolated, not of unit length. */
        public float lowNormal(int axis) {
            return hits.normals[at(axis)];
        }

        /** Returns a component of the low poly's tangent, likewise. */
        public float lowTangent(int axis) {
            return hits.tangents[at(axis)];
        }

        /** Returns a component of the low poly's bitangent, likewise. */
        public float lowBitangent(int axis) {
            return hits.bitangents[at(axis)];
        }

        /** Returns which triangle of the low poly the sample is on. */
        public int lowTriangle() {
            return hits.lowTriangles[s];
        }

        /** Returns how much of the sample is corner 0, 1 or 2 of that triangle: 0 … 1. */
        public float lowBarycentric(int corner) {
            return barycentric(corner, hits.lowB1[s], hits.lowB2[s]);
        }

        /** Returns a component of the ray's unit direction. */
        public float direction(int axis) {
            return hits.directions[at(axis)];
        }

        /** Returns how far above the low poly the hit is along the ray, positive outward. */
        public float height() {
            return hits.heights[s];
        }

        /** Returns how many rays of a query the sample got; it may be none. */
        public int rays(int query) {
            return answers.of(query).rays[s];
        }

        /** Returns which share of a query's rays met nothing: of the sample's, or, where it got none, of all of its texel's. */
        public float openness(int query) {
            HemisphereAnswers.Sums sums = answers.of(query);
            return sums.rays[s] > 0 ? (float) sums.open[s] / sums.rays[s] : (float) sums.openOfTexel[s] / Math.max(1, sums.raysOfTexel[s]);
        }

        /** Returns a component of the sum of the directions of the sample's open rays. */
        public float openDirection(int query, int axis) {
            return answers.of(query).direction[at(axis)];
        }

        /** Returns the sum of the blockers' distances over the sample's rays, of a query about distances. */
        public float blockerDistances(int query) {
            return answers.of(query).distance[s];
        }
    }

    private final String name;
    private final int channels;
    private final Values values;
    private final Encoding.Kind kind;
    private final List<Range> ranges;
    private final List<Float> background;
    private final @Nullable Reduction reduction;
    private final List<HemisphereQuery> queries;
    private final int bits;
    private final @Nullable String version;

    private CustomMap(String name, int channels, Values values, Encoding.Kind kind, List<Range> ranges, List<Float> background,
            @Nullable Reduction reduction, List<HemisphereQuery> queries, int bits, @Nullable String version) {
        this.name = name;
        this.channels = channels;
        this.values = values;
        this.kind = kind;
        this.ranges = ranges;
        this.background = background;
        this.reduction = reduction;
        this.queries = queries;
        this.bits = bits;
        this.version = version;
    }

    /**
     * Returns a map of plain data, 0 where nothing was baked, in files of 16 bits from minus to plus its largest magnitude.
     *
     * @param name     lower-case letters, digits and hyphens: files are named after it
     * @param channels 1 … 4
     * @param values   gives the values of a sample; see above for what threads demand of it
     * @throws IllegalArgumentException if there are not 1 … 4 channels
     */
    public static CustomMap of(String name, int channels, Values values) {
        if (channels < 1 || channels > 4) {
            throw new IllegalArgumentException("channels = " + channels + " must be 1 … 4");
        }
        return new CustomMap(Objects.requireNonNull(name, "name"), channels, Objects.requireNonNull(values, "values"), Encoding.Kind.DATA,
                List.of(), Collections.nCopies(channels, 0f), null, List.of(), 16, null);
    }

    /**
     * Returns the map with channels of another kind: NORMAL gives them the range −1 … 1 and unit length, ID takes the most frequent value k/255, COLOUR is
     * linear 0 … 1.
     *
     * @throws IllegalArgumentException if NORMAL does not have three channels
     * @throws IllegalStateException    if a range was given, which only DATA may have, or a reduction that does not suit
     */
    public CustomMap kind(Encoding.Kind value) {
        if (value == Encoding.Kind.NORMAL && channels != 3) {
            throw new IllegalArgumentException(name + ": a map of normals must have 3 channels, not " + channels);
        }
        return checked(new CustomMap(name, channels, values, Objects.requireNonNull(value, "value"), ranges, background, reduction, queries,
                bits, version));
    }

    /**
     * Returns the map with a given range for integer files, the same for all channels, in place of what is found in a bake.
     *
     * @param atZero the raw value of a stored 0
     * @param atOne  the raw value of a stored 1
     * @throws IllegalArgumentException if one is not finite as a float, or they are the same
     * @throws IllegalStateException    if the map's kind is not DATA, which alone may have a range
     */
    public CustomMap range(double atZero, double atOne) {
        Range range = new Range((float) atZero, (float) atOne);
        if (range.atZero() == range.atOne()) {
            throw new IllegalArgumentException("range " + atZero + " … " + atOne + " must not be flat");
        }
        return checked(new CustomMap(name, channels, values, kind, Collections.nCopies(channels, range), background, reduction, queries,
                bits, version));
    }

    /**
     * Returns the map with raw values, one a channel, where nothing was baked; 0 by default.
     *
     * @throws IllegalArgumentException if there are not as many as channels, or one is not finite
     */
    public CustomMap background(float... raw) {
        if (raw.length != channels) {
            throw new IllegalArgumentException("background: " + raw.length + " values are given for " + channels + " channels");
        }
        List<Float> all = new ArrayList<>();
        for (float value : raw) {
            all.add(finite("background", value));
        }
        return new CustomMap(name, channels, values, kind, ranges, List.copyOf(all), reduction, queries, bits, version);
    }

    /**
     * Returns the map whose samples become texels by another rule than its kind's own: the mean for DATA and COLOUR, the normalised mean for NORMAL, the
     * majority for ID.
     *
     * @throws IllegalStateException if identifiers are to be anything but the majority
     */
    public CustomMap reduction(Reduction value) {
        return checked(new CustomMap(name, channels, values, kind, ranges, background, Objects.requireNonNull(value, "value"), queries,
                bits, version));
    }

    /** Returns the map that asks for hemispheres above each hit; {@link Sample#openness} and its kin take their numbers, from 0. */
    public CustomMap queries(HemisphereQuery... all) {
        return new CustomMap(name, channels, values, kind, ranges, background, reduction, List.of(all), bits, version);
    }

    /**
     * Returns the map with another usual depth of integer files; 16 by default.
     *
     * @throws IllegalArgumentException if it is neither 8 nor 16
     */
    public CustomMap bits(int depth) {
        if (depth != 8 && depth != 16) {
            throw new IllegalArgumentException("bits = " + depth + " must be 8 or 16");
        }
        return new CustomMap(name, channels, values, kind, ranges, background, reduction, queries, depth, version);
    }

    /**
     * Returns the map with a name for what its function computes, to be changed whenever that changes: with it the map's values may be taken from
     * an earlier bake, which nobody could tell from the function alone. Without one the map is baked each time.
     *
     * @throws IllegalArgumentException if it is blank
     */
    public CustomMap version(String value) {
        if (value.isBlank()) {
            throw new IllegalArgumentException("version must not be blank");
        }
        return new CustomMap(name, channels, values, kind, ranges, background, reduction, queries, bits, value);
    }

    private static CustomMap checked(CustomMap map) {
        if (map.kind != Encoding.Kind.DATA && !map.ranges.isEmpty()) {
            throw new IllegalStateException(map.name + ": only DATA may have a range, " + map.kind + " has its own");
        }
        if (map.kind == Encoding.Kind.ID && map.reduction != null && map.reduction != Reduction.MAJORITY) {
            throw new IllegalStateException(
                    map.name + ": identifiers are never mixed, so their reduction must be MAJORITY, not " + map.reduction);
        }
        return map;
    }

    private static float finite(String what, float value) {
        if (!Float.isFinite(value)) {
            throw new IllegalArgumentException(what + ": " + value + " must be finite");
        }
        return value;
    }

    /** Returns the beginning of the console's call that makes this map; a function has no text. */
    @Override
    public String toString() {
        return MapCall.of("custom", '"' + name + '"', channels, "…").toString();
    }

    @Override
    public Optional<String> recipe() {
        return version == null
                ? Optional.empty()
                : Optional.of(this + " as " + version + ": " + List.of(kind, ranges, background, reduction(), queries, bits));
    }

    @Override
    public String name() {
        return name;
    }

    @Override
    public MapFormat format() {
        RangeRule rule = switch (kind) {
            case DATA -> ranges.isEmpty() ? new RangeRule.LargestMagnitude() : new RangeRule.Fixed(ranges);
            case NORMAL -> new RangeRule.Fixed(Encoding.normal().ranges());
            case ID, COLOUR -> new RangeRule.Fixed(Collections.nCopies(channels, Range.UNIT));
        };
        return new MapFormat(kind, rule, background, bits, true);
    }

    @Override
    public List<HemisphereQuery> queries() {
        return queries;
    }

    @Override
    public Reduction reduction() {
        if (reduction != null) {
            return reduction;
        }
        return switch (kind) {
            case DATA, COLOUR -> Reduction.MEAN;
            case NORMAL -> Reduction.NORMALISED_MEAN;
            case ID -> Reduction.MAJORITY;
        };
    }

    /**
     * {@inheritDoc}
     *
     * @throws IllegalStateException if the function throws or gives a value that is not finite; the message names the map and the sample's triangle
     */
    @Override
    public void evaluate(SurfaceHits hits, HemisphereAnswers answers, float[] dest) {
        Sample sample = new Sample(hits, answers);
        float[] out = new float[channels];
        float[] untouched = new float[channels];
        for (int c = 0; c < channels; c++) {
            untouched[c] = background.get(c);
        }
        for (int s = 0; s < hits.size(); s++) {
            sample.s = s;
            System.arraycopy(untouched, 0, out, 0, channels); // a value that is not set must not be the sample's before
            try {
                values.of(sample, out);
            } catch (CancellationException e) {
                throw e;
            } catch (RuntimeException e) {
                throw new IllegalStateException(failure(sample) + "the function failed: " + e, e);
            }
            for (float value : out) {
                if (!Float.isFinite(value)) {
                    throw new IllegalStateException(
                            failure(sample) + "the function gave " + Arrays.toString(out) + "; values must be finite");
                }
            }
            System.arraycopy(out, 0, dest, s * channels, channels);
        }
    }

    private String failure(Sample sample) {
        return "map \"" + name + "\" at triangle " + sample.highTriangle() + " of high poly " + sample.highMesh() + ": ";
    }
}
