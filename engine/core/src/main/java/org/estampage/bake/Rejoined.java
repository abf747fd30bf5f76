package org.estampage.bake;

import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import org.estampage.image.Range;
import org.estampage.task.Task;

/**
 * Puts a bake together from maps that earlier bakes of the same job have and such as are baked now.
 *
 * @threads stateless
 */
final class Rejoined {
    private Rejoined() {
    }

    /** Bakes a job's maps, or some of them. */
    interface Baking {
        BakeResult bake(BakeJob job);
    }

    /**
     * Returns what a bake of the job would give.
     *
     * @param earlier bakes of the job, but for its maps
     * @param baking  bakes what they lack
     * @throws IllegalArgumentException if one is of another job; the message says what differs
     */
    static BakeResult bake(BakeJob job, List<BakeResult> earlier, Baking baking, Task task) {
        for (BakeResult result : earlier) {
            result.job().differences(job).stream().findFirst().ifPresent(difference -> {
                throw new IllegalArgumentException(
                        "an earlier bake must be of the same job but for its maps, and differs in " + difference);
            });
        }
        List<Optional<BakeResult>> found = new ArrayList<>();
        List<SurfaceMap> missing = new ArrayList<>();
        for (SurfaceMap map : job.maps()) {
            Optional<BakeResult> source = earlier.stream().filter(result -> has(result, job, map)).findFirst();
            found.add(source);
            if (source.isEmpty()) {
                missing.add(map);
            }
        }
        task.check();
        if (missing.size() == job.maps().size()) {
            return baking.bake(job);
        }
        BakeResult base = missing.isEmpty() ? earlier.get(0) : baking.bake(job.withMaps(missing));
        return joined(job, base, found.stream().map(source -> source.orElse(base)).toList(), missing.isEmpty());
    }

    /** Returns whether a result has a map of a job with the same values and range. */
    private static boolean has(BakeResult result, BakeJob job, SurfaceMap map) {
        List<Range> before = result.job().ranges().getOrDefault(map.name(), List.of());
        return before.equals(job.ranges().getOrDefault(map.name(), List.of()))
                && result.job().maps().stream().anyMatch(other -> other.name().equals(map.name()) && sameValues(other, map));
    }

    @SuppressWarnings("ReferenceEquality") // a map without a recipe is the same only if it is that very one
    private static boolean sameValues(SurfaceMap a, SurfaceMap b) {
        return a == b || (a.getClass().equals(b.getClass()) && a.recipe().isPresent() && a.recipe().equals(b.recipe()));
    }

    private static BakeResult joined(BakeJob job, BakeResult base, List<BakeResult> sources, boolean nothingBaked) {
        List<BakedTile> tiles = new ArrayList<>();
        for (BakedTile tile : base.tiles()) {
            List<BakedMap> maps = new ArrayList<>();
            for (int m = 0; m < sources.size(); m++) {
                maps.add(sources.get(m).tile(tile.number()).baked(job.maps().get(m).name()).orElseThrow());
            }
            tiles.add(tile.with(maps));
        }
        Noticed noticed = new Noticed();
        noticed.ofJob().addAll(base.noticed().ofJob());
        for (int m = 0; m < sources.size(); m++) {
            String name = job.maps().get(m).name();
            noticed.take(name, sources.get(m).noticed().saidOf(name));
        }
        BakeResult.Counts counts = nothingBaked ? base.counts().withoutRays() : base.counts();
        return new BakeResult(job, base.low(), base.cage(), tiles, counts, nothingBaked ? List.of() : base.stages(), noticed);
    }
}
