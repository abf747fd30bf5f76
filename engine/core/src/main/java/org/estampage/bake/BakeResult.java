package org.estampage.bake;

import java.time.Duration;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import java.util.stream.Collectors;
import org.estampage.cage.Cage;
import org.estampage.finding.Findings;
import org.estampage.image.FloatImage;
import org.estampage.image.Mask;
import org.estampage.image.Range;
import org.estampage.mesh.Mesh;

/**
 * What a bake gave: the maps, what was hit and missed, what it cost.
 *
 * <p>There is a {@link BakedTile} for each image: one, unless the job is on UDIM tiles. Where there is only one, its maps and masks can be asked for here;
 * where there are several, {@link #tile} says whose. Counts and ranges are of all.
 *
 * @threads immutable by contract
 */
public final class BakeResult {
    /**
     * How long one stage took.
     *
     * @param name what was done
     * @param time wall-clock time
     */
    public record Stage(String name, Duration time) {
    }

    /**
     * What was done, of all tiles.
     *
     * @param samples        samples in charts
     * @param missedSamples  of them, those that met nothing
     * @param refinedTexels  texels that got the samples of edges
     * @param projectionRays rays that looked for the high poly
     * @param hemisphereRays rays that asked how open its surface is
     */
    record Counts(long samples, long missedSamples, long refinedTexels, long projectionRays, long hemisphereRays) {
        static Counts of(List<TileBake> tiles) {
            return new Counts(tiles.stream().mapToLong(tile -> tile.sampleCount).sum(),
                    tiles.stream().mapToLong(tile -> tile.missedSamples).sum(),
                    tiles.stream().mapToLong(tile -> tile.refinedTexels).sum(), tiles.stream().mapToLong(tile -> tile.projectionRays).sum(),
                    tiles.stream().mapToLong(tile -> tile.hemisphereRays).sum());
        }

        Counts withoutRays() {
            return new Counts(samples, missedSamples, refinedTexels, 0, 0);
        }
    }

    private final BakeJob job;
    private final Mesh low;
    private final Cage cage;
    private final List<BakedTile> tiles;
    private final Counts counts;
    private final List<Stage> stages;
    private final Noticed noticed;
    private final Findings findings;

    BakeResult(BakeJob job, Mesh low, Cage cage, List<BakedTile> tiles, Counts counts, List<Stage> stages, Noticed noticed) {
        this.job = job;
        this.low = low;
        this.cage = cage;
        this.tiles = List.copyOf(tiles);
        this.counts = counts;
        this.stages = List.copyOf(stages);
        this.noticed = noticed;
        this.findings = noticed.all();
    }

    /** Returns the job. */
    public BakeJob job() {
        return job;
    }

    /** Returns the low poly with the normals and tangents that the maps were baked with. */
    public Mesh low() {
        return low;
    }

    /**
     * Returns this result as that of the same job without a cage: for whoever fits the cage as the bake itself would have, so as to keep maps.
     */
    public BakeResult withCageFitted() {
        return new BakeResult(job.withoutCage(), low, cage, tiles, counts, stages, noticed);
    }

    /** Returns the cage: the job's, or the one that was fitted. */
    public Cage cage() {
        return cage;
    }

    /** Returns the images' tiles by rising number; at least one. */
    public List<BakedTile> tiles() {
        return tiles;
    }

    /**
     * Returns one tile.
     *
     * @param number its UDIM number; of a job that is not on UDIM tiles 1001
     * @throws IllegalArgumentException if no chart lies there; the message names the tiles that there are
     */
    public BakedTile tile(int number) {
        return tiles.stream().filter(tile -> tile.number() == number).findFirst()
                .orElseThrow(
                        () -> new IllegalArgumentException("number = " + number + " must be a tile of this bake, one of " + numbers()));
    }

    private String numbers() {
        return tiles.stream().map(tile -> Integer.toString(tile.number())).collect(Collectors.joining(", "));
    }

    private BakedTile only(String what) {
        if (tiles.size() > 1) {
            throw new IllegalStateException(
                    "this bake has the tiles " + numbers() + ": ask one for its " + what + ", as by tile(" + tiles.get(0).number() + ")");
        }
        return tiles.get(0);
    }

    /**
     * Returns the maps in the job's order.
     *
     * @throws IllegalStateException if there are several tiles
     */
    public List<BakedMap> maps() {
        return only("maps").maps();
    }

    /**
     * Returns a map's raw values.
     *
     * @throws IllegalArgumentException if there is no such map; the message names those that there are
     * @throws IllegalStateException    if there are several tiles; each has an image of its own
     */
    public FloatImage map(String name) {
        return only("map").map(name);
    }

    /**
     * Returns the range of a map's first channel in integer files, which is the same for all tiles.
     *
     * @throws IllegalArgumentException if there is no such map
     */
    public Range range(String name) {
        return tiles.get(0).map(name).encoding().ranges().get(0);
    }

    /**
     * Returns the texels that a chart touches.
     *
     * @throws IllegalStateException if there are several tiles
     */
    public Mask covered() {
        return only("covered texels").covered();
    }

    /**
     * Returns the texels of which at least one sample met the high poly.
     *
     * @throws IllegalStateException if there are several tiles
     */
    public Mask hit() {
        return only("texels that hit").hit();
    }

    /**
     * Returns why samples met nothing, texel by texel; see {@link BakedTile#missCauses}.
     *
     * @throws IllegalStateException if there are several tiles
     */
    public Optional<FloatImage> missCauses() {
        return only("causes of misses").missCauses();
    }

    /**
     * Returns a picture of why samples met nothing; see {@link BakedTile#missPicture}.
     *
     * @throws IllegalStateException if there are several tiles
     */
    public FloatImage missPicture() {
        return only("picture of misses").missPicture();
    }

    /** Returns how many texels a chart touches, of all tiles. */
    public long coveredCount() {
        return tiles.stream().mapToLong(BakedTile::coveredCount).sum();
    }

    /** Returns how many texels a chart touches without any sample meeting the high poly, of all tiles. */
    public long missedCount() {
        return tiles.stream().mapToLong(BakedTile::missedCount).sum();
    }

    /** Returns how many samples lie in charts. */
    public long sampleCount() {
        return counts.samples();
    }

    /** Returns how many samples met nothing. */
    public long missedSampleCount() {
        return counts.missedSamples();
    }

    /** Returns how many texels got the samples of edges. */
    public long refinedTexelCount() {
        return counts.refinedTexels();
    }

    /** Returns how many rays looked for the high poly; 0 if all maps were taken from earlier bakes. */
    public long projectionRayCount() {
        return counts.projectionRays();
    }

    /** Returns how many rays asked how open its surface is, for the maps that were not taken from earlier bakes. */
    public long hemisphereRayCount() {
        return counts.hemisphereRays();
    }

    /** Returns how long each stage took, in order; none if all maps were taken from earlier bakes. */
    public List<Stage> stages() {
        return stages;
    }

    /** Returns the time of one stage; zero if there was none of that name. */
    public Duration time(String stage) {
        return stages.stream().filter(s -> s.name().equals(stage)).map(Stage::time).reduce(Duration.ZERO, Duration::plus);
    }

    /** Returns what was noticed. */
    public Findings findings() {
        return findings;
    }

    /** Returns what was noticed, of the job and of each map. */
    Noticed noticed() {
        return noticed;
    }

    /** Returns what was done. */
    Counts counts() {
        return counts;
    }

    /** Returns a summary of a few lines for people: maps, coverage, rays, times, findings. */
    public String summary() {
        StringBuilder s = new StringBuilder();
        String names = tiles.get(0).maps().stream().map(BakedMap::name).collect(Collectors.joining(", "));
        s.append(String.format(Locale.ROOT, "%d × %d texels, %d × %d samples%s: %s%n", job.width(), job.height(), job.samplesPerSide(),
                job.samplesPerSide(), job.filter() == TexelFilter.TENT ? " under a tent" : "", names));
        for (BakedTile tile : tiles.size() > 1 ? tiles : List.<BakedTile>of()) {
            s.append(String.format(Locale.ROOT, "%-10s%,12d texels covered, %,d of them missed%n", tile.tile(), tile.coveredCount(),
                    tile.missedCount()));
        }
        s.append(String.format(Locale.ROOT, "covered   %,12d texels (%.1f %% of the image%s)%n", coveredCount(),
                100.0 * coveredCount() / ((double) job.width() * job.height() * tiles.size()), tiles.size() > 1 ? "s" : ""));
        s.append(String.format(Locale.ROOT, "missed    %,12d texels, %,d of %,d samples%n", missedCount(), counts.missedSamples(),
                counts.samples()));
        if (counts.refinedTexels() > 0) {
            s.append(String.format(Locale.ROOT, "edges     %,12d texels with %d × %d samples%n", counts.refinedTexels(),
                    job.edgeSamplesPerSide(), job.edgeSamplesPerSide()));
        }
        double seconds = time("bake").toNanos() * 1e-9;
        long rays = counts.projectionRays() + counts.hemisphereRays();
        s.append(rays == 0
                ? String.format("rays                 none: all maps are of earlier bakes%n")
                : String.format(Locale.ROOT, "rays      %,12d (%,d to find the surface, %,d to find it open), %.2f million a second%n",
                        rays,
                        counts.projectionRays(), counts.hemisphereRays(), seconds > 0 ? rays / seconds * 1e-6 : 0));
        for (Stage stage : stages) {
            s.append(String.format(Locale.ROOT, "%-10s%12.2f s%n", stage.name(), stage.time().toNanos() * 1e-9));
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
