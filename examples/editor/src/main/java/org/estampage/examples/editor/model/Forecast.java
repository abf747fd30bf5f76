package org.estampage.examples.editor.model;

import java.time.Duration;
import org.estampage.bake.BakeEstimate;
import org.estampage.bake.BakeResult;
import org.jspecify.annotations.Nullable;

/**
 * What a bake of what is set now is about to take.
 *
 * @param estimate what the engine says; null when it can't be baked
 * @param time     how long at the pace of the last bake; null before there was one
 * @param problem  why it can't be baked; empty otherwise
 */
public record Forecast(@Nullable BakeEstimate estimate, @Nullable Duration time, String problem) {
    /** Returns the forecast of an estimate. */
    static Forecast of(BakeEstimate estimate, @Nullable BakeResult last) {
        long rays = last == null ? 0 : last.projectionRayCount() + last.hemisphereRayCount();
        return new Forecast(estimate, last == null || rays == 0
                ? null
                : Duration.ofNanos((long) ((double) last.time("bake").toNanos() / rays * estimate.rays())), "");
    }
}
