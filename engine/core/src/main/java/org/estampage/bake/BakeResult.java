package org.estampage.bake;

import java.time.Duration;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import org.estampage.cage.Cage;
import org.estampage.finding.Findings;
import org.estampage.image.FloatImage;
import org.estampage.image.Mask;
import org.estampage.image.Range;
import org.estampage.mesh.Mesh;

/**
 * What a bake gave: the maps, what was hit and missed, what it cost.
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

    private final BakeJob job;
    private final Mesh low;
    private final Cage cage;
    private final Map<String, BakedMap> maps;
    private final Mask covered;
    private final Mask hit;
    private final long sampleCount;
    private final long missedSampleCount;
    private final long refinedTexelCount;
    private final long projectionRayCount;
    private final long hemisphereRayCount;
    private final List<Stage> stages;
    private final Findings findings;

    BakeResult(BakeJob job, Mesh low, Cage cage, List<BakedMap> maps, Mask covered, Mask hit, long sampleCount, long missedSampleCount,
            long refinedTexelCount,
            long projectionRayCount, long hemisphereRayCount, List<Stage> stages, Findings findings) {
        this.job = job;
        this.low = low;
        this.cage = cage;
        this.maps = new LinkedHashMap<>();
        maps.forEach(map -> this.maps.put(map.name(), map));
        this.covered = covered;
        this.hit = hit;
        this.sampleCount = sampleCount;
        this.missedSampleCount = missedSampleCount;
        this.refinedTexelCount = refinedTexelCount;
        this.projectionRayCount = projectionRayCount;
        this.hemisphereRayCount = hemisphereRayCount;
        this.stages = List.copyOf(stages);
        this.findings = findings;
    }

    /** Returns the job. */
    public BakeJob job() {
        return job;
    }

    /** Returns the low poly with the normals and tangents that the maps were baked with. */
    public Mesh low() {
        return low;
    }

    /** Returns the cage: the job's, or the one that was fitted. */
    public Cage cage() {
        return cage;
    }

    /** Returns the maps in the job's order. */
    public List<BakedMap> maps() {
        return List.copyOf(maps.values());
    }

    /**
     * Returns a map's raw values.
     *
     * @throws IllegalArgumentException if there is no such map; the message names those that there are
     */
    public FloatImage map(String name) {
        BakedMap map = maps.get(name);
        if (map == null) {
            throw new IllegalArgumentException(
                    "no map is called \"" + name + "\"; this bake has " + String.join(", ", maps.keySet())
                            + ": take one of them, or add it to maps(…)");
        }
        return map.image();
    }

    /**
     * Returns the range of a map's first channel in integer files.
     *
     * @throws IllegalArgumentException if there is no such map
     */
    public Range range(String name) {
        return map(name).encoding().ranges().get(0);
    }

    /** Returns the texels that a chart touches. */
    public Mask covered() {
        return covered;
    }

    /** Returns the texels of which at least one sample met the high poly. */
    public Mask hit() {
        return hit;
    }

    /** Returns how many texels a chart touches. */
    public long coveredCount() {
        return covered.count();
    }

    /** Returns how many texels a chart touches without any sample meeting the high poly. */
    public long missedCount() {
        return (long) covered.count() - hit.count();
    }

    /** Returns how many samples lie in charts. */
    public long sampleCount() {
        return sampleCount;
    }

    /** Returns how many samples met nothing. */
    public long missedSampleCount() {
        return missedSampleCount;
    }

    /** Returns how many texels got the samples of edges. */
    public long refinedTexelCount() {
        return refinedTexelCount;
    }

    /** Returns how many rays looked for the high poly. */
    public long projectionRayCount() {
        return projectionRayCount;
    }

    /** Returns how many rays asked how open its surface is. */
    public long hemisphereRayCount() {
        return hemisphereRayCount;
    }

    /** Returns how long each stage took, in order. */
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

    /** Returns a summary of a few lines for people: maps, coverage, rays, times, findings. */
    public String summary() {
        StringBuilder s = new StringBuilder();
        long texels = (long) job.width() * job.height();
        s.append(String.format(Locale.ROOT, "%d × %d texels, %d × %d samples: %s%n", job.width(), job.height(), job.samplesPerSide(),
                job.samplesPerSide(), String.join(", ", maps.keySet())));
        s.append(String.format(Locale.ROOT, "covered   %,12d texels (%.1f %% of the image)%n", coveredCount(),
                100.0 * coveredCount() / texels));
        s.append(String.format(Locale.ROOT, "missed    %,12d texels, %,d of %,d samples%n", missedCount(), missedSampleCount, sampleCount));
        if (refinedTexelCount > 0) {
            s.append(
                    String.format(Locale.ROOT, "edges     %,12d texels with %d × %d samples%n", refinedTexelCount, job.edgeSamplesPerSide(),
                            job.edgeSamplesPerSide()));
        }
        double seconds = time("bake").toNanos() * 1e-9;
        long rays = projectionRayCount + hemisphereRayCount;
        s.append(String.format(Locale.ROOT, "rays      %,12d (%,d to find the surface, %,d to find it open), %.2f million a second%n", rays,
                projectionRayCount, hemisphereRayCount, seconds > 0 ? rays / seconds * 1e-6 : 0));
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
