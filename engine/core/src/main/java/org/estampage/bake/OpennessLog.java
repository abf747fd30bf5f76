package org.estampage.bake;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Locale;
import java.util.function.IntPredicate;
import org.estampage.bvh.HemisphereQuery;
import org.estampage.bvh.HemisphereQuery.Distribution;
import org.estampage.finding.Finding;
import org.estampage.finding.Place;
import org.estampage.finding.Tally;
import org.estampage.image.Mask;

/**
 * The texels of a tile whose hemisphere rays say less than they seem to: none is open where a value is of open rays, or many go below the face they leave.
 * What it says does not hang on the order in which blocks come.
 *
 * @threads safe for concurrent calls while blocks are added; read when all are
 */
final class OpennessLog {
    /**
     * The share of a texel's rays below its faces that goes unmentioned. Rays about a shading normal that leans by θ from the face have sin²(θ/2) of a
     * cosine-weighted hemisphere below the face, which blocks them: 1 % at 11.5°, as much as 1.3 steps of 1/128, the error of very good rays.
     */
    private static final double UNMENTIONED = 0.01;

    private final List<SurfaceMap> maps;
    /** Where more than that share is below; only looked for if rays are drawn by the cosine. */
    private final Mask leaning;
    private final boolean looksForLeaning;
    /** Map by map, the texels without an open ray; only looked for if the map says what stands there. */
    private final List<Mask> closed = new ArrayList<>();

    OpennessLog(List<SurfaceMap> maps, int width, int height) {
        this.maps = maps;
        leaning = new Mask(width, height);
        looksForLeaning = maps.stream().anyMatch(OpennessLog::drawnByCosine);
        for (SurfaceMap map : maps) {
            closed.add(map.standsForClosed().isPresent() ? new Mask(width, height) : leaning);
        }
    }

    /**
     * Adds a block.
     *
     * @param hits   the hits of the block's area, texel by texel
     * @param starts where each texel's hits begin in them; one entry more than there are texels
     * @param sums   the answers to the scene's queries
     */
    void add(Scene scene, BlockArea area, SurfaceHits hits, int[] starts, HemisphereAnswers.Sums[] sums) {
        for (int m = 0; m < maps.size(); m++) {
            if (closed.get(m) != leaning) {
                HemisphereAnswers.Sums answer = sums[scene.queriesOfMap[m][0]];
                mark(closed.get(m), area, texel -> starts[texel] < starts[texel + 1] && answer.raysOfTexel[starts[texel]] > 0
                        && answer.openOfTexel[starts[texel]] == 0);
            }
        }
        if (looksForLeaning) {
            mark(leaning, area, texel -> shareBelow(scene.high, hits, starts[texel], starts[texel + 1]) > UNMENTIONED);
        }
    }

    /** Returns the share of cosine-weighted rays that go below the faces of some hits, 0 of none. */
    private static double shareBelow(HighPoly high, SurfaceHits hits, int from, int to) {
        double share = 0;
        double[] face = new double[3];
        for (int hit = from; hit < to; hit++) {
            high.writeFaceNormal(high.firstTriangle[hits.highMeshes[hit]] + hits.highTriangles[hit], face);
            double cosine = face[0] * hits.highNormals[3 * hit] + face[1] * hits.highNormals[3 * hit + 1]
                    + face[2] * hits.highNormals[3 * hit + 2];
            share += (1 - cosine) / 2;
        }
        return from < to ? share / (to - from) : 0;
    }

    private static void mark(Mask mask, BlockArea area, IntPredicate isOne) {
        int[] found = new int[area.blockCount()];
        int count = 0;
        for (int place = 0; place < found.length; place++) {
            if (isOne.test(area.texelAt(place))) {
                found[count++] = place;
            }
        }
        synchronized (mask) {
            for (int place : Arrays.copyOf(found, count)) {
                mask.set(area.x + place % area.blockWidth, area.y + place / area.blockWidth);
            }
        }
    }

    /** Returns what there is to say of one map: its closed texels, and those whose normals lean too far for its rays. */
    List<Finding> findings(int m) {
        SurfaceMap map = maps.get(m);
        List<Finding> findings = new ArrayList<>();
        Tally texels = closed.get(m) == leaning ? new Tally() : tally(closed.get(m));
        if (!texels.isEmpty()) {
            findings.add(Finding.note("closed-texels", texels.count(),
                    "none of the rays of " + texels.count() + " texels of " + map.name() + " is open; they show "
                            + map.standsForClosed().orElseThrow(),
                    "nothing, if they lie buried; else more rays, a reach, or high polys without what encloses them", texels.places()));
        }
        texels = drawnByCosine(map) ? tally(leaning) : new Tally();
        if (!texels.isEmpty()) {
            findings.add(Finding.note("rays-below-faces", texels.count(),
                    String.format(Locale.ROOT,
                            "more than %.0f %% of the rays of %d texels go below the high poly's face and count as blocked: "
                                    + "its normals lean by more than 11.5° from it",
                            100 * UNMENTIONED, texels.count()),
                    "give the high poly more triangles there, or hard edges where it has corners", texels.places()));
        }
        return findings;
    }

    private static boolean drawnByCosine(SurfaceMap map) {
        return map.queries().stream()
                .anyMatch(query -> query.side() == HemisphereQuery.Side.OUTSIDE && query.distribution() == Distribution.COSINE);
    }

    private static Tally tally(Mask mask) {
        Tally tally = new Tally();
        for (int y = 0; y < mask.height(); y++) {
            for (int x = 0; x < mask.width(); x++) {
                if (mask.get(x, y)) {
                    tally.add(new Place.Texel(x, y));
                }
            }
        }
        return tally;
    }
}
