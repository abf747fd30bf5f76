package org.estampage.bake;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.Collections;
import java.util.HashSet;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.Optional;
import java.util.Set;
import java.util.regex.Pattern;
import java.util.stream.Collectors;
import java.util.stream.IntStream;
import org.estampage.bvh.HemisphereQuery;
import org.estampage.cage.Cage;
import org.estampage.cage.CageSource;
import org.estampage.image.Encoding;
import org.estampage.image.Padding;
import org.estampage.image.Range;
import org.estampage.mesh.InvalidMeshException;
import org.estampage.mesh.Labels;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.MeshCheck;
import org.estampage.mesh.MeshProblem;
import org.estampage.mesh.MeshSource;
import org.estampage.raster.UvDeclaration;
import org.jspecify.annotations.Nullable;

/**
 * What is to be baked: a value that {@link Baker} carries out.
 *
 * <p>From two files to maps:
 * {@snippet class = "org.estampage.cookbook.CookbookTest" region = "firstBake"}
 *
 * @threads immutable
 */
public final class BakeJob {
    /** The largest side of an image, in texels. */
    public static final int MAX_SIZE = 32768;

    private static final Pattern MAP_NAME = Pattern.compile("[a-z0-9]+(-[a-z0-9]+)*");

    private final Mesh low;
    private final List<Mesh> highs;
    private final @Nullable Cage cage;
    private final int width;
    private final int height;
    private final int samplesPerSide;
    private final int edgeSamplesPerSide;
    private final TexelFilter filter;
    private final int padding;
    private final double depth;
    private final double rayBlend;
    private final List<SurfaceMap> maps;
    private final FrameRule frameRule;
    private final HitRule hitRule;
    private final boolean pairByName;
    private final String lowSuffix;
    private final String highSuffix;
    private final UvDeclaration uvs;
    private final boolean udim;
    private final Map<String, List<Range>> ranges;

    private BakeJob(Builder b) {
        this.low = b.low;
        this.highs = List.copyOf(b.highs);
        this.cage = b.cage;
        this.width = b.width;
        this.height = b.height;
        this.samplesPerSide = b.samplesPerSide;
        this.edgeSamplesPerSide = b.edgeSamplesPerSide;
        this.filter = b.filter;
        this.padding = b.padding;
        this.depth = b.depth;
        this.rayBlend = b.rayBlend;
        this.maps = List.copyOf(b.maps);
        this.frameRule = b.frameRule;
        this.hitRule = b.hitRule;
        this.pairByName = b.pairByName;
        this.lowSuffix = b.lowSuffix;
        this.highSuffix = b.highSuffix;
        this.uvs = b.uvs;
        this.udim = b.udim;
        this.ranges = Collections.unmodifiableMap(new LinkedHashMap<>(b.ranges));
    }

    /**
     * Starts a job whose cage is fitted when it is baked, unless one is set.
     *
     * @param low   the low poly, with UVs
     * @param highs the high polys, at least one
     */
    public static Builder of(MeshSource low, MeshSource... highs) {
        return new Builder(low.build(), null, Arrays.asList(highs));
    }

    /**
     * Starts a job; the rays begin on {@code cage} and end below its low poly.
     *
     * @param cage  the cage, which knows its low poly; one that is still to be fitted is fitted now
     * @param highs the high polys, at least one
     */
    public static Builder of(CageSource cage, MeshSource... highs) {
        Cage built = cage.build();
        return new Builder(built.low(), built, Arrays.asList(highs));
    }

    /** Starts a job that is like this one until it is changed: {@code job.toBuilder().map(OcclusionMap.create(256)).build()}. */
    public Builder toBuilder() {
        return new Builder(this);
    }

    /** Returns this job with some of its maps alone. */
    BakeJob withMaps(List<SurfaceMap> some) {
        Builder builder = toBuilder();
        builder.maps.clear();
        builder.maps.addAll(some);
        builder.ranges.keySet().retainAll(some.stream().map(SurfaceMap::name).toList());
        return new BakeJob(builder);
    }

    /** Returns this job with its cage to be fitted. */
    BakeJob withoutCage() {
        Builder builder = toBuilder();
        builder.cage = null;
        return new BakeJob(builder);
    }

    /** Returns in what another job differs, but for its maps and their ranges; of options with both values. Meshes and cages must be the very same. */
    List<String> differences(BakeJob other) {
        List<String> differences = new ArrayList<>();
        if (!low.equals(other.low)) {
            differences.add("the low poly");
        }
        if (!highs.equals(other.highs)) {
            differences.add("the high polys");
        }
        if (!Objects.equals(cage, other.cage)) {
            differences.add("the cage");
        }
        Map<String, Object> others = other.options();
        options().forEach((name, value) -> {
            if (!value.equals(others.get(name))) {
                differences.add(name + ": " + value + " and " + others.get(name));
            }
        });
        return differences;
    }

    /** Returns all that a bake's values hang on, but for meshes, cage and maps. */
    private Map<String, Object> options() {
        Map<String, Object> options = new LinkedHashMap<>();
        options.put("width", width);
        options.put("height", height);
        options.put("samples", samplesPerSide);
        options.put("edgeSamples", edgeSamplesPerSide);
        options.put("filter", filter);
        options.put("padding", padding);
        options.put("depth", depth);
        options.put("rayBlend", rayBlend);
        options.put("frame", frameRule);
        options.put("hits", hitRule);
        options.put("pairByName", pairByName);
        options.put("suffix of low parts", lowSuffix);
        options.put("suffix of high parts", highSuffix);
        options.put("overlapping charts", uvs);
        options.put("udim", udim);
        return options;
    }

    /** Returns the low poly. */
    public Mesh low() {
        return low;
    }

    /** Returns the high polys. */
    public List<Mesh> highs() {
        return highs;
    }

    /** Returns the cage; empty when it is to be fitted. */
    public Optional<Cage> cage() {
        return Optional.ofNullable(cage);
    }

    /** Returns the width of the maps in texels. */
    public int width() {
        return width;
    }

    /** Returns the height of the maps in texels. */
    public int height() {
        return height;
    }

    /** Returns n for n × n samples a texel. */
    public int samplesPerSide() {
        return samplesPerSide;
    }

    /** Returns n for n × n samples in texels at edges; 0 where they have those of all. */
    public int edgeSamplesPerSide() {
        return edgeSamplesPerSide;
    }

    /** Returns which samples a texel's mean is made of. */
    public TexelFilter filter() {
        return filter;
    }

    /** Returns how far values are continued beyond the charts, in texels, or {@link Padding#EVERYWHERE}. */
    public int padding() {
        return padding;
    }

    /** Returns how far below the low poly rays go, in mesh units; NaN when the cage says. */
    public double depth() {
        return depth;
    }

    /** Returns how far rays over flat panels are straightened: 0 not at all, 1 fully. */
    public double rayBlend() {
        return rayBlend;
    }

    /** Returns the maps. */
    public List<SurfaceMap> maps() {
        return maps;
    }

    /** Returns the rule of the tangent frame. */
    public FrameRule frameRule() {
        return frameRule;
    }

    /** Returns which hit counts. */
    public HitRule hitRule() {
        return hitRule;
    }

    /** Returns whether each part of the low poly only sees the high-poly parts of its name. */
    public boolean isPairedByName() {
        return pairByName;
    }

    /** Returns what is taken off the end of low-poly part names before they are compared. */
    public String lowSuffix() {
        return lowSuffix;
    }

    /** Returns what is taken off the end of high-poly part names before they are compared. */
    public String highSuffix() {
        return highSuffix;
    }

    /** Returns whether each unit square of UV space that charts touch is an image of its own, of the size of the job. */
    public boolean isUdim() {
        return udim;
    }

    /** Returns what was said about charts that overlap and charts outside 0 … 1. */
    public UvDeclaration uvs() {
        return uvs;
    }

    /** Returns the ranges that were given for maps' integer files, one a channel, by the map's name. */
    public Map<String, List<Range>> ranges() {
        return ranges;
    }

    /** Returns what is baked from what, in one line. */
    @Override
    public String toString() {
        return "bake of " + low.name() + " from " + highs.stream().map(Mesh::name).collect(Collectors.joining(", ")) + ": "
                + maps.stream().map(SurfaceMap::name).collect(Collectors.joining(", ")) + " at " + width + " × " + height + " texels of "
                + samplesPerSide + " × " + samplesPerSide + " samples, " + (cage == null ? "cage to be fitted" : cage);
    }

    /** Collects the options of a job. */
    public static final class Builder {
        private Mesh low;
        private @Nullable Cage cage;
        private final List<Mesh> highs = new ArrayList<>();
        private int width = 2048;
        private int height = 2048;
        private int samplesPerSide = 2;
        private int edgeSamplesPerSide;
        private TexelFilter filter = TexelFilter.BOX;
        private int padding = Padding.EVERYWHERE;
        private double depth = Double.NaN;
        private double rayBlend;
        private final List<SurfaceMap> maps = new ArrayList<>();
        private FrameRule frameRule = FrameRule.AS_INTERPOLATED;
        private HitRule hitRule = HitRule.FIRST_FRONT_FACE;
        private boolean pairByName;
        private String lowSuffix = "";
        private String highSuffix = "";
        private UvDeclaration uvs = UvDeclaration.NONE;
        private boolean udim;
        private final Map<String, List<Range>> ranges = new LinkedHashMap<>();

        private Builder(Mesh low, @Nullable Cage cage, List<? extends MeshSource> highs) {
            this.low = low;
            this.cage = cage;
            if (highs.isEmpty()) {
                throw new IllegalArgumentException("highs: at least one high poly is needed");
            }
            highs.forEach(high -> this.highs.add(high.build()));
        }

        private Builder(BakeJob job) {
            this.low = job.low;
            this.cage = job.cage;
            this.highs.addAll(job.highs);
            this.width = job.width;
            this.height = job.height;
            this.samplesPerSide = job.samplesPerSide;
            this.edgeSamplesPerSide = job.edgeSamplesPerSide;
            this.filter = job.filter;
            this.padding = job.padding;
            this.depth = job.depth;
            this.rayBlend = job.rayBlend;
            this.maps.addAll(job.maps);
            this.frameRule = job.frameRule;
            this.hitRule = job.hitRule;
            this.pairByName = job.pairByName;
            this.lowSuffix = job.lowSuffix;
            this.highSuffix = job.highSuffix;
            this.uvs = job.uvs;
            this.udim = job.udim;
            this.ranges.putAll(job.ranges);
        }

        /**
         * Sets the cage; one that is still to be fitted is fitted now.
         *
         * @throws IllegalArgumentException if it is the cage of another mesh
         */
        public Builder cage(CageSource source) {
            Cage value = source.build();
            if (value.low() != low && !value.low().sameAs(low)) {
                throw new IllegalArgumentException("the cage was made for another mesh (" + value.low().name() + ") than the low poly ("
                        + low.name() + "); make it from the very mesh that is baked to");
            }
            cage = value;
            low = value.low(); // a low poly that is still being built gives an equal mesh each time: from now on it is this one
            return this;
        }

        /** Sets a square size in texels; 2048 by default. */
        public Builder size(int texels) {
            return size(texels, texels);
        }

        /**
         * Sets the size in texels.
         *
         * @throws IllegalArgumentException if a side is not 1 … {@value BakeJob#MAX_SIZE}
         */
        public Builder size(int w, int h) {
            width = inRange("width", w, 1, MAX_SIZE);
            height = inRange("height", h, 1, MAX_SIZE);
            return this;
        }

        /**
         * Sets n for n × n samples a texel; 2 by default.
         *
         * @throws IllegalArgumentException if it is not 1 … 16
         */
        public Builder samples(int n) {
            samplesPerSide = inRange("samples", n, 1, 16);
            return this;
        }

        /**
         * Sets n for n × n samples in texels whose samples see an edge, a step or a border, and in those around them: normals that lean by more than 1.5°
         * against their mean, heights that jump, rays that miss. Such texels become better; edges stay as sharp as the resolution is.
         *
         * @throws IllegalArgumentException if it is not 2 … 16
         */
        public Builder edgeSamples(int n) {
            edgeSamplesPerSide = inRange("edgeSamples", n, 2, 16);
            return this;
        }

        /**
         * Sets which samples a texel's mean is made of; its own, {@link TexelFilter#BOX}, by default. A tent needs at least 2 × 2 samples a texel.
         */
        public Builder filter(TexelFilter value) {
            filter = Objects.requireNonNull(value, "value");
            return this;
        }

        /**
         * Sets how far values are continued beyond the charts; everywhere by default.
         *
         * @param texels a distance, or {@link Padding#EVERYWHERE}
         */
        public Builder padding(int texels) {
            padding = texels == Padding.EVERYWHERE ? texels : inRange("padding", texels, 0, MAX_SIZE);
            return this;
        }

        /**
         * Sets how far below the low poly rays go, in mesh units, in place of what the cage says.
         *
         * @throws IllegalArgumentException if it is negative or, as a float, not finite
         */
        public Builder depth(double length) {
            if (!(length >= 0) || !Float.isFinite((float) length)) {
                throw new IllegalArgumentException("depth = " + length + " must be a length of 0 or more that fits a float");
            }
            depth = length;
            return this;
        }

        /**
         * Sets how far rays are straightened over flat panels of the low poly, away from its bends: 0, the default, leaves them to the cage; 1 lets them
         * follow the facet's normal, so that raised or sunk detail there stays where it is. Close to an edge that bends they keep the cage's direction,
         * so that no seam opens. They start where they meet the cage.
         *
         * @throws IllegalArgumentException if it is not 0 … 1
         */
        public Builder rayBlend(double amount) {
            if (!(amount >= 0 && amount <= 1)) {
                throw new IllegalArgumentException("rayBlend = " + amount + " must be 0 … 1");
            }
            rayBlend = amount;
            return this;
        }

        /**
         * Adds maps.
         *
         * @throws IllegalArgumentException if a name stands twice or is not made of lower-case letters, digits and hyphens: it ends up in file names
         */
        public Builder maps(SurfaceMap... more) {
            Set<String> names = new HashSet<>();
            maps.forEach(map -> names.add(map.name()));
            for (SurfaceMap map : more) {
                if (!MAP_NAME.matcher(map.name()).matches()) {
                    throw new IllegalArgumentException("maps: the name \"" + map.name()
                            + "\" must be lower-case letters a … z, digits and hyphens, since files are named after it");
                }
                if (!names.add(map.name())) {
                    throw new IllegalArgumentException("maps: " + map.name() + " stands twice; a job bakes each name once");
                }
            }
            maps.addAll(List.of(more)); // all or, where one is refused, none
            return this;
        }

        /** Sets a map in place of the one of its name, or adds it where there is none. */
        public Builder map(SurfaceMap one) {
            for (int i = 0; i < maps.size(); i++) {
                if (maps.get(i).name().equals(one.name())) {
                    maps.set(i, one);
                    return this;
                }
            }
            return maps(one);
        }

        /** Returns whether a map of that name was added. */
        public boolean hasMap(String name) {
            return maps.stream().anyMatch(map -> map.name().equals(name));
        }

        /**
         * Sets the range of a map's integer files in place of the one that the bake would find, to keep it from bake to bake. Values beyond it are cut off
         * there, which is a finding.
         *
         * @param map    the map's name
         * @param values one range a channel, or one for all channels
         * @throws IllegalArgumentException if there is no range, or one is flat
         */
        public Builder range(String map, Range... values) {
            Objects.requireNonNull(map, "map");
            if (values.length == 0 || Arrays.stream(values).anyMatch(range -> range.atZero() == range.atOne())) {
                throw new IllegalArgumentException(
                        "range of " + map + " = " + Arrays.toString(values) + " must be one of two different values a channel");
            }
            ranges.put(map, List.of(values));
            return this;
        }

        /** Sets the rule of the tangent frame. */
        public Builder frame(FrameRule rule) {
            frameRule = Objects.requireNonNull(rule, "rule");
            return this;
        }

        /** Sets which hit counts. */
        public Builder hits(HitRule rule) {
            hitRule = Objects.requireNonNull(rule, "rule");
            return this;
        }

        /** Lets each part of the low poly see only the high-poly parts of its name. All parts still occlude. */
        public Builder pairByName() {
            return pairByName("", "");
        }

        /**
         * Lets each part of the low poly see only the high-poly parts of its name.
         *
         * @param suffixOfLow  taken off the end of low-poly names before they are compared
         * @param suffixOfHigh taken off the end of high-poly names before they are compared
         */
        public Builder pairByName(String suffixOfLow, String suffixOfHigh) {
            pairByName = true;
            lowSuffix = Objects.requireNonNull(suffixOfLow, "suffixOfLow");
            highSuffix = Objects.requireNonNull(suffixOfHigh, "suffixOfHigh");
            return this;
        }

        /**
         * Declares that charts which overlap are stacked on purpose: they show the same texels, and what is baked is the unmirrored side, and of several the
         * lowest triangle. Without this the same is baked, and the overlap is a warning.
         */
        public Builder stacked() {
            uvs = uvs.withStacked();
            return this;
        }

        /**
         * Declares that charts which overlap those of a part of the low poly are stacked on purpose, and that this part's are baked there, mirrored or not.
         *
         * @param part the name of a part of the low poly; the job is refused if no triangle is of it
         */
        public Builder stackedFrom(String part) {
            uvs = uvs.withStackedFrom(Objects.requireNonNull(part, "part"));
            return this;
        }

        /**
         * Declares that charts which lie within another unit square than 0 … 1 are copies, whole units aside, of charts there: they show the same texels and
         * are not baked.
         *
         * @throws IllegalArgumentException if charts there were declared to be on UDIM tiles
         */
        public Builder copies() {
            if (udim) {
                throw new IllegalArgumentException("copies: charts outside 0 to 1 are on UDIM tiles already, by udim()");
            }
            uvs = uvs.withCopies();
            return this;
        }

        /**
         * Returns the job.
         *
         * @throws InvalidMeshException     if a mesh can't be used; it lists every reason
         * @throws IllegalArgumentException if there are no maps, one asks for its own part in a job that is not paired by name,
         *                                  edges are to have no more samples than all texels, or a
         *                                  tent is to be made of one sample a texel
         */
        public BakeJob build() {
            List<MeshProblem> problems = new ArrayList<>(MeshCheck.problems(low, true));
            for (Mesh high : highs) {
                problems.addAll(MeshCheck.problems(high, false));
            }
            InvalidMeshException.throwIfAny(problems);
            if (maps.isEmpty()) {
                throw new IllegalArgumentException("maps: name at least one, for example normal");
            }
            if (edgeSamplesPerSide > 0 && (samplesPerSide < 2 || edgeSamplesPerSide <= samplesPerSide)) {
                throw new IllegalArgumentException("edgeSamples = " + edgeSamplesPerSide + " must be more than samples = " + samplesPerSide
                        + ", which must be at least 2 to show where edges are");
            }
            if (filter == TexelFilter.TENT && samplesPerSide < 2) {
                throw new IllegalArgumentException("filter = TENT has no effect with samples = " + samplesPerSide
                        + ": the samples of neighbours are a whole texel off; it needs at least 2");
            }
            for (SurfaceMap map : maps) {
                if (!pairByName && map.queries().stream().anyMatch(HemisphereQuery::ownPart)) {
                    throw new IllegalArgumentException(
                            map.name() + " asks for its own part alone: only a job with pairByName() knows parts");
                }
            }
            ranges.replaceAll(this::rangesOfChannels);
            String part = uvs.stackedFrom();
            if (part != null && !hasTriangles(part)) {
                throw new IllegalArgumentException(
                        "stackedFrom = \"" + part + "\" must be a part of the low poly that has triangles; its parts are "
                                + low.partLabels().names());
            }
            BakeJob job = new BakeJob(this);
            List<MeshProblem> pairing = Pairing.problems(job);
            InvalidMeshException.throwIfAny(pairing);
            return job;
        }

        private List<Range> rangesOfChannels(String name, List<Range> values) {
            SurfaceMap map = maps.stream().filter(m -> m.name().equals(name)).findFirst().orElseThrow(() -> new IllegalArgumentException(
                    "range is given for \"" + name + "\", which is none of the maps: " + maps.stream().map(SurfaceMap::name).toList()));
            MapFormat format = map.format();
            if (format.kind() != Encoding.Kind.DATA) {
                throw new IllegalArgumentException("range can't be given for " + name + ": normals, colours and identifiers have theirs");
            }
            if (values.size() != 1 && values.size() != format.channels()) {
                throw new IllegalArgumentException(
                        "range of " + name + " = " + values + " must be one, or " + format.channels() + ": as many as there are channels");
            }
            return values.size() == format.channels() ? values : Collections.nCopies(format.channels(), values.get(0));
        }

        /**
         * Declares that charts lie on UDIM tiles: each unit square that charts touch, u from 0 to 10 and v from 0 on, gets an image of each map, of the size
         * that is set. Cage and ranges are the same for all.
         *
         * @throws IllegalArgumentException if charts outside 0 … 1 were declared to be copies
         */
        public Builder udim() {
            if (uvs.copies()) {
                throw new IllegalArgumentException("udim: charts outside 0 to 1 are copies already, by copies()");
            }
            udim = true;
            return this;
        }

        private boolean hasTriangles(String part) {
            Labels labels = low.partLabels();
            return IntStream.range(0, low.triangleCount())
                    .anyMatch(t -> labels.of(t) >= 0 && labels.names().get(labels.of(t)).equals(part));
        }

        private static int inRange(String name, int value, int least, int most) {
            if (value < least || value > most) {
                throw new IllegalArgumentException(name + " = " + value + " must be " + least + " … " + most);
            }
            return value;
        }
    }
}
