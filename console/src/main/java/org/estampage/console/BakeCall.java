package org.estampage.console;

import java.util.Locale;
import org.estampage.bake.BakeEstimate;
import org.estampage.bake.BakeJob;
import org.estampage.bake.BakeResult;
import org.estampage.bake.Baker;
import org.estampage.bake.FrameRule;
import org.estampage.bake.HitRule;
import org.estampage.bake.SurfaceMap;
import org.estampage.bake.TexelFilter;
import org.estampage.cage.Cage;
import org.estampage.cage.CageFit;
import org.estampage.cage.CageSource;
import org.estampage.handover.Manifest;
import org.estampage.image.Range;
import org.estampage.maps.NormalMap;
import org.estampage.mesh.Mesh;
import org.estampage.session.Keeper;

/**
 * A bake being described; {@link #run} carries it out. Options that are not set have the defaults of {@link BakeJob}, and the map is the normal map
 * if none is named.
 *
 * @threads confined
 */
public final class BakeCall {
    /** About 20 seconds at the 10 million rays a second of two cores. */
    private static final long MANY_RAYS = 200_000_000;

    private final Session session;
    private final BakeJob.Builder job;
    private Baker baker = Baker.create();
    private boolean mapsNamed;

    BakeCall(Session session, BakeJob.Builder job) {
        this.session = session;
        this.job = job;
    }

    /** Sets the cage; without one it is fitted. */
    public BakeCall cage(CageSource cage) {
        job.cage(session.present(cage).build());
        return this;
    }

    /** Sets a square size in texels; 2048 by default. */
    public BakeCall size(int texels) {
        job.size(texels);
        return this;
    }

    /** Sets width and height in texels. */
    public BakeCall size(int width, int height) {
        job.size(width, height);
        return this;
    }

    /** Sets n for n × n samples a texel; 2 by default. */
    public BakeCall samples(int n) {
        job.samples(n);
        return this;
    }

    /** Sets n for n × n samples in texels that see an edge, a step or a border; more than all have. */
    public BakeCall edgeSamples(int n) {
        job.edgeSamples(n);
        return this;
    }

    /** Sets which samples a texel's mean is made of: its own by default, with {@link TexelFilter#TENT} those around it, too, which is softer. */
    public BakeCall filter(TexelFilter value) {
        job.filter(value);
        return this;
    }

    /** Sets the maps. */
    public BakeCall maps(SurfaceMap... maps) {
        job.maps(maps);
        mapsNamed = mapsNamed || maps.length > 0;
        return this;
    }

    /** Sets the range of a map's integer files, one a channel or one for all, to keep it from bake to bake. */
    public BakeCall range(String map, Range... values) {
        job.range(map, values);
        return this;
    }

    /** Sets the ranges of all maps of plain data that an earlier bake's manifest has, too; maps are to be named before. */
    public BakeCall rangesOf(Manifest earlier) {
        earlier.lockRanges(job);
        return this;
    }

    /** Sets how many texels values are continued beyond the charts; everywhere by default. */
    public BakeCall padding(int texels) {
        job.padding(texels);
        return this;
    }

    /** Sets how far below the low poly rays go, in mesh units. */
    public BakeCall depth(double length) {
        job.depth(length);
        return this;
    }

    /** Sets how far rays are straightened over flat panels, away from the bends: 0, the default, to 1. */
    public BakeCall rayBlend(double amount) {
        job.rayBlend(amount);
        return this;
    }

    /** Lets each part of the low poly see only the high-poly parts of its name. */
    public BakeCall pairByName() {
        job.pairByName();
        return this;
    }

    /** Lets each part of the low poly see only the high-poly parts of its name, both without their suffix. */
    public BakeCall pairByName(String suffixOfLow, String suffixOfHigh) {
        job.pairByName(suffixOfLow, suffixOfHigh);
        return this;
    }

    /** Declares that charts which overlap are stacked on purpose; the unmirrored side is baked. */
    public BakeCall stacked() {
        job.stacked();
        return this;
    }

    /** Declares that charts which overlap those of a part are stacked on purpose; that part's side is baked. */
    public BakeCall stackedFrom(String part) {
        job.stackedFrom(part);
        return this;
    }

    /** Declares that charts outside 0 to 1 are copies, whole units aside, which are not baked. */
    public BakeCall copies() {
        job.copies();
        return this;
    }

    /** Declares that charts lie on UDIM tiles: each that charts touch gets images of its own. */
    public BakeCall udim() {
        job.udim();
        return this;
    }

    /** Sets the rule of the tangent frame. */
    public BakeCall frame(FrameRule rule) {
        job.frame(rule);
        return this;
    }

    /** Sets which hit counts. */
    public BakeCall hits(HitRule rule) {
        job.hits(rule);
        return this;
    }

    /** Sets the number of worker threads; all processors by default. */
    public BakeCall threads(int count) {
        baker = baker.threads(count);
        return this;
    }

    /** Bakes, map by map from before where values are kept. A cage that is to be fitted is fitted first, as the bake would: maps are kept by their cage. */
    private BakeResult kept(BakeJob ready, Baker worker) {
        Keeper keeper = session.keeper();
        if (keeper == null || (ready.cage().isEmpty() && ready.highs().size() > 1)) {
            return worker.bake(ready, session.task());
        }
        if (ready.cage().isPresent()) {
            return keeper.bake(worker, ready, session.task());
        }
        Mesh high = ready.highs().get(0);
        Cage cage = CageFit.around(ready.low(), high).tracer(session.counted(high)).task(session.task()).build();
        return keeper.bake(worker, ready.toBuilder().cage(cage).build(), session.task()).withCageFitted();
    }

    private BakeJob ready() {
        if (!mapsNamed) {
            maps(NormalMap.create());
        }
        return job.build();
    }

    /** Returns about what the bake will take: rays, memory, files. */
    public BakeEstimate estimate() {
        return baker.estimate(ready());
    }

    /** Says what a bake takes, if that is much. */
    private void announce(BakeEstimate estimate) {
        long heap = Runtime.getRuntime().maxMemory();
        if (estimate.peakBytes() > heap / 2) {
            session.voice().note(String.format(Locale.ROOT, "%s; Java may take %,d MB", estimate, heap / 1_000_000));
        } else if (estimate.rays() > MANY_RAYS) {
            session.voice().note(estimate.toString());
        }
    }

    /** Bakes. */
    public BakeResult run() {
        BakeJob ready = ready();
        announce(baker.estimate(ready));
        Mesh high = ready.highs().get(0);
        Baker worker = ready.highs().size() == 1 ? baker.tracer(high, session.counted(high)) : baker;
        BakeResult result = kept(ready, worker);
        result.findings().forEach(finding -> session.voice().noticed(ready.low().name(), finding));
        return result;
    }
}
