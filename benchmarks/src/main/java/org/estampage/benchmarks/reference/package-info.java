/**
 * The native reference: general-purpose ray tracing kernels, called through the Foreign Function and Memory API.
 *
 * <p>Obeys: rays are copied off the heap before anything is timed, and a call traces a whole chunk. Start reading at
 * {@link org.estampage.benchmarks.reference.NativeScene}; the other side is {@code src/main/native/reference.c}. Does not know the engine's tracers.
 */
@NullMarked
package org.estampage.benchmarks.reference;

import org.jspecify.annotations.NullMarked;
