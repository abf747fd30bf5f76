package org.estampage.benchmarks;

import java.util.Locale;
import org.estampage.benchmarks.reference.NativeRays;
import org.estampage.benchmarks.reference.NativeScene;
import org.estampage.bvh.Facing;
import org.estampage.bvh.HemisphereBatch;
import org.estampage.bvh.HemisphereQuery;
import org.estampage.bvh.HitBatch;
import org.estampage.bvh.PointBatch;
import org.estampage.bvh.RayBatch;
import org.estampage.bvh.RayTracer;

/**
 * What one contender does in a round: all rays of a piece of work, cut into chunks.
 *
 * @threads safe while every thread has its own number and different chunks
 */
abstract class Entry {
    /** What is done, such as {@code projection}. */
    final String work;
    /** Who does it. */
    final String name;
    /** Whether it is one of the engine's strategies. */
    final boolean own;
    /** Rays or points of a round. */
    final long rays;

    Entry(String work, String name, boolean own, long rays) {
        this.work = work;
        this.name = name;
        this.own = own;
        this.rays = rays;
    }

    /** Returns into how many calls the rays are cut. */
    abstract int chunks();

    /** Traces a chunk. */
    abstract void run(int chunk, int thread);

    /** Adds up the answers of the chunk that thread 0 traced last. */
    abstract void add(int chunk, Answers inoutAnswers);

    /** Traces everything and returns what it adds up to. */
    final Answers answers() {
        Answers answers = new Answers();
        for (int chunk = 0; chunk < chunks(); chunk++) {
            run(chunk, 0);
            add(chunk, answers);
        }
        return answers;
    }

    /** Sums of answers, in the order of the rays. */
    static final class Answers {
        /** Depends on all bits of all answers and their order; for the engine's own only. */
        long hash;
        /** Rays that hit. */
        long hits;

        private void mix(int bits) {
            hash = (hash + bits) * 0x9E3779B97F4A7C15L;
            hash ^= hash >>> 32;
        }
    }

    /** First hits by one of the engine's tracers. */
    static Entry closest(String work, String name, RayTracer tracer, Facing facing, RayBatch[] batches, int threads) {
        HitBatch[] hits = new HitBatch[threads];
        for (int i = 0; i < threads; i++) {
            hits[i] = new HitBatch(batches[0].size);
        }
        return new Entry(work, name, true, count(batches)) {
            @Override
            int chunks() {
                return batches.length;
            }

            @Override
            void run(int chunk, int thread) {
                tracer.closestHits(batches[chunk], facing, hits[thread]);
            }

            @Override
            void add(int chunk, Answers inoutAnswers) {
                HitBatch found = hits[0];
                for (int i = 0; i < batches[chunk].size; i++) {
                    inoutAnswers.mix(found.triangle[i]);
                    if (found.triangle[i] >= 0) {
                        inoutAnswers.hits++;
                        inoutAnswers.mix(Float.floatToRawIntBits(found.t[i]));
                        inoutAnswers.mix(Float.floatToRawIntBits(found.b1[i]));
                        inoutAnswers.mix(Float.floatToRawIntBits(found.b2[i]));
                    }
                }
            }
        };
    }

    /** Whether anything is hit, by one of the engine's tracers. */
    static Entry any(String work, String name, RayTracer tracer, RayBatch[] batches, int threads) {
        boolean[][] blocked = new boolean[threads][batches[0].size];
        return new Entry(work, name, true, count(batches)) {
            @Override
            int chunks() {
                return batches.length;
            }

            @Override
            void run(int chunk, int thread) {
                tracer.anyHits(batches[chunk], Facing.BOTH, blocked[thread]);
            }

            @Override
            void add(int chunk, Answers inoutAnswers) {
                for (int i = 0; i < batches[chunk].size; i++) {
                    inoutAnswers.mix(blocked[0][i] ? 1 : 0);
                    inoutAnswers.hits += blocked[0][i] ? 1 : 0;
                }
            }
        };
    }

    /** Hemispheres by one of the engine's tracers: it draws the directions itself. */
    static Entry hemispheres(String work, String name, RayTracer tracer, HemisphereQuery query, HemisphereBatch[] batches) {
        long rays = 0;
        for (HemisphereBatch batch : batches) {
            rays += (long) batch.size * query.raysPerTexel();
        }
        return new Entry(work, name, true, rays) {
            @Override
            int chunks() {
                return batches.length;
            }

            @Override
            void run(int chunk, int thread) {
                tracer.hemispheres(query, batches[chunk]);
            }

            @Override
            void add(int chunk, Answers inoutAnswers) {
                HemisphereBatch batch = batches[chunk];
                for (int i = 0; i < batch.size; i++) {
                    inoutAnswers.hits += query.raysPerTexel() - batch.open[i];
                    inoutAnswers.mix(batch.open[i]);
                    inoutAnswers.mix(Float.floatToRawIntBits(batch.sumX[i]));
                    inoutAnswers.mix(Float.floatToRawIntBits(batch.sumY[i]));
                    inoutAnswers.mix(Float.floatToRawIntBits(batch.sumZ[i]));
                }
            }
        };
    }

    /** Nearest points by one of the engine's tracers. */
    static Entry nearest(String work, String name, RayTracer tracer, PointBatch[] batches) {
        long points = 0;
        for (PointBatch batch : batches) {
            points += batch.size;
        }
        return new Entry(work, name, true, points) {
            @Override
            int chunks() {
                return batches.length;
            }

            @Override
            void run(int chunk, int thread) {
                tracer.nearestPoints(batches[chunk]);
            }

            @Override
            void add(int chunk, Answers inoutAnswers) {
                PointBatch batch = batches[chunk];
                for (int i = 0; i < batch.size; i++) {
                    inoutAnswers.hits += batch.triangle[i] >= 0 ? 1 : 0;
                    inoutAnswers.mix(batch.triangle[i]);
                    inoutAnswers.mix(Float.floatToRawIntBits(batch.distance[i]));
                    inoutAnswers.mix(Float.floatToRawIntBits(batch.b1[i]));
                    inoutAnswers.mix(Float.floatToRawIntBits(batch.b2[i]));
                }
            }
        };
    }

    /** First hits, or whether anything is hit, by the native reference. */
    static Entry reference(String work, NativeScene scene, NativeScene.Mode mode, NativeRays traced, boolean closest) {
        int chunk = 8192;
        return new Entry(work, mode.label(), false, traced.size()) {
            @Override
            int chunks() {
                return (traced.size() + chunk - 1) / chunk;
            }

            @Override
            void run(int number, int thread) {
                int end = Math.min(traced.size(), (number + 1) * chunk);
                if (closest) {
                    scene.closestHits(traced, number * chunk, end, mode);
                } else {
                    scene.anyHits(traced, number * chunk, end, mode);
                }
            }

            @Override
            void add(int number, Answers inoutAnswers) {
                int end = Math.min(traced.size(), (number + 1) * chunk);
                for (int i = number * chunk; i < end; i++) {
                    inoutAnswers.hits += (closest ? traced.triangle(i) >= 0 : traced.blocked(i)) ? 1 : 0;
                }
            }
        };
    }

    private static long count(RayBatch[] batches) {
        long rays = 0;
        for (RayBatch batch : batches) {
            rays += batch.size;
        }
        return rays;
    }

    @Override
    public String toString() {
        return String.format(Locale.ROOT, "%s %s", work, name);
    }
}
