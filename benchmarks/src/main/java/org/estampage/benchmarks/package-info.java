/**
 * JMH benchmarks of the engine: rays, builds, files.
 *
 * <p>Obeys: one class a subject, named {@code <Subject>Benchmark}; parameters are named as in the API; every result is checked in set-up before anything
 * is timed; a smoke test runs each once. Start reading at {@link org.estampage.benchmarks.ProjectionBenchmark}. Does not hold figures: they belong to a
 * machine and a commit.
 */
@NullMarked
package org.estampage.benchmarks;

import org.jspecify.annotations.NullMarked;
