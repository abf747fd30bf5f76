package org.estampage.bake;

import java.util.Arrays;
import org.estampage.image.FloatImage;
import org.estampage.raster.TexelSamples;
import org.estampage.task.Task;
import org.jspecify.annotations.Nullable;

/**
 * Bakes one block after another: texel samples → rays → hits → hemispheres → values → texels. What it writes depends on the block's texels, and on those
 * of an apron around it where neighbours have a say; never on how the image is cut into blocks.
 *
 * @threads confined
 */
final class BlockWorker {
    private final Scene scene;
    private final TileBake tile;
    private final HitWriter writer;
    /** The samples that every texel has. */
    private final Projection usual;
    /** The samples of texels at edges; null where they are like all. */
    private final @Nullable Projection more;
    private final Surroundings surroundings;
    private final MissSearch misses;
    /** Mixes texels; null where each has its own samples alone. */
    private final @Nullable Tent tent;

    private SurfaceHits surface = new SurfaceHits(0);
    private int capacity;
    private float[] values = new float[0];
    private float[] texels = new float[0];
    /** Where the hits of each texel begin, and their end. */
    private int[] hitStart = new int[1];
    /** Texels that have more samples. */
    private boolean[] refined = new boolean[0];
    private BlockArea area = new BlockArea(0, 0, 0, 0, 0, 0, 0);

    // What this worker did, to be added up.
    long sampleCount;
    long missedSamples;
    long refinedTexels;

    BlockWorker(Scene scene, TileBake tile, Task task) {
        this.scene = scene;
        this.tile = tile;
        writer = new HitWriter(scene);
        usual = new Projection(scene, tile.raster, task);
        more = tile.edges == null ? null : new Projection(scene, tile.edges.raster(), task);
        surroundings = new Surroundings(scene, task);
        misses = new MissSearch(scene, tile.misses, task);
        tent = scene.filterReach() > 0 ? new Tent(scene.charts) : null;
    }

    /**
     * Returns the most bytes that a worker needs for blocks of so many texels.
     *
     * @param samplesPerTexel of texels that have the most
     * @param queries         how many different hemisphere queries there are
     */
    static long bytes(int texels, int samplesPerTexel, int queries) {
        // Arrays of vectors, floats and ints a sample: 116 of what maps see, 64 of the ray and the values, 18 of the rasteriser, 8 of the tent, then the sums.
        long perSample = 116 + 64 + 18 + 8 + (queries == 0 ? 0 : 24 + 36L * queries);
        return texels * (samplesPerTexel * perSample + 32);
    }

    long projectionRays() {
        return usual.rayCount + (more == null ? 0 : more.rayCount);
    }

    long hemisphereRays() {
        return surroundings.rayCount;
    }

    void bake(int x, int y, int w, int h, BlockMarks marks) {
        area = new BlockArea(x, y, w, h, scene.apron(), scene.job.width(), scene.job.height());
        if (refined.length < area.texelCount()) {
            refined = new boolean[area.texelCount()];
            hitStart = new int[area.texelCount() + 1];
        }
        Arrays.fill(refined, 0, area.texelCount(), false);
        usual.run(area, null);
        gather();
        if (tile.edges != null && more != null && tile.edges.search().find(area, usual, surface, hitStart, refined)) {
            more.run(area, refined);
            gather();
        }
        long missedBefore = missedSamples;
        mark(marks);
        if (missedSamples > missedBefore) {
            misses.run(area, this::samplesOf);
        }
        surroundings.run(area, surface, hitStart);
        tile.openness.add(scene, area, surface, hitStart, surroundings.sums);
        for (int m = 0; m < scene.maps.size(); m++) {
            evaluate(m);
        }
        if (tile.guides != null) {
            describe(tile.guides);
        }
    }

    /** Returns where the samples of a texel are. */
    private Projection samplesOf(int texel) {
        return more != null && refined[texel] ? more : usual;
    }

    /** Gathers what maps see of the samples that hit, in texel order. */
    private void gather() {
        int most = usual.samples.size() + (more == null ? 0 : more.samples.size());
        if (most > capacity) {
            capacity = Math.max(most, capacity * 3 / 2);
            surface = new SurfaceHits(capacity);
            values = new float[4 * capacity];
        }
        if (tent != null) {
            tent.begin(area, hitStart, capacity);
        }
        int n = 0;
        for (int texel = 0; texel < area.texelCount(); texel++) {
            hitStart[texel] = n;
            Projection from = samplesOf(texel);
            for (int s = from.samples.start[texel]; s < from.samples.start[texel + 1]; s++) {
                if (from.hitTriangle[s] >= 0) {
                    if (tent != null) {
                        tent.note(n, from.samples.sample[s], from.samplesPerSide());
                    }
                    writer.write(from, s, surface, n++);
                }
            }
            if (tent != null) {
                tent.noteTexel(texel, hitStart[texel], n, from.samplesPerSide(), surface);
            }
        }
        hitStart[area.texelCount()] = n;
        surface.size = n;
    }

    private void mark(BlockMarks marks) {
        marks.begin(area.x, area.y, area.blockWidth, area.blockHeight);
        for (int place = 0; place < area.blockCount(); place++) {
            int texel = area.texelAt(place);
            TexelSamples samples = samplesOf(texel).samples;
            int inChart = samples.start[texel + 1] - samples.start[texel];
            int hit = hitStart[texel + 1] - hitStart[texel];
            if (inChart > 0) {
                marks.mark(place, hit > 0, samples.kind[texel] == TexelSamples.FULL && hit == inChart);
                sampleCount += inChart;
                missedSamples += inChart - hit;
                refinedTexels += refined[texel] ? 1 : 0;
            }
        }
    }

    private void describe(Guides guides) {
        float[] surfaces = new float[4 * area.blockCount()];
        float[] places = new float[2 * area.blockCount()];
        for (int place = 0; place < area.blockCount(); place++) {
            int texel = area.texelAt(place);
            guides.describe(surface, hitStart[texel], hitStart[texel + 1], surfaces, places, place);
        }
        guides.surface.write(area.x, area.y, area.blockWidth, area.blockHeight, surfaces);
        guides.place.write(area.x, area.y, area.blockWidth, area.blockHeight, places);
    }

    /** Writes how many rays of the map's first query each texel got. */
    private void writeRays(FloatImage dest, HemisphereAnswers.Sums answer) {
        float[] rays = new float[area.blockCount()];
        for (int place = 0; place < rays.length; place++) {
            int texel = area.texelAt(place);
            rays[place] = hitStart[texel] < hitStart[texel + 1] ? answer.raysOfTexel[hitStart[texel]] : 0f;
        }
        dest.write(area.x, area.y, area.blockWidth, area.blockHeight, rays);
    }

    /** Asks one map for its values, reduces them to texels and writes the block. */
    private void evaluate(int m) {
        SurfaceMap map = scene.maps.get(m);
        MapFormat format = map.format();
        int channels = format.channels();
        int[] numbers = scene.queriesOfMap[m];
        HemisphereAnswers answers = new HemisphereAnswers(Arrays.stream(numbers).mapToObj(q -> surroundings.sums[q]).toList());
        fillWithBackground(format);
        if (surface.size > 0) {
            map.evaluate(surface, answers, values);
        }
        int[] weights = numbers.length == 0 ? null : surroundings.sums[numbers[0]].rays;
        for (int place = 0; place < area.blockCount(); place++) {
            int texel = area.texelAt(place);
            int from = hitStart[texel], to = hitStart[texel + 1];
            if (tent != null && tent.takes(map.reduction(), texel)) {
                tent.reduce(map.reduction(), values, channels, texel, weights, texels, place * channels);
            } else if (from < to) {
                Reducer.reduce(map.reduction(), values, channels, from, to, weights, samplesOf(texel).samplesPerTexel(), texels,
                        place * channels);
            }
        }
        tile.images.get(m).values().write(area.x, area.y, area.blockWidth, area.blockHeight, texels);
        FloatImage rays = tile.images.get(m).rays();
        if (rays != null) {
            writeRays(rays, answers.of(0));
        }
    }

    private void fillWithBackground(MapFormat format) {
        int channels = format.channels();
        int size = area.blockCount() * channels;
        if (texels.length < size) {
            texels = new float[area.blockCount() * 4];
        }
        for (int c = 0; c < channels; c++) {
            float value = format.background().get(c);
            for (int i = c; i < size; i += channels) {
                texels[i] = value;
            }
        }
    }
}
