package org.estampage.benchmarks.reference;

import static java.lang.foreign.ValueLayout.JAVA_BYTE;
import static java.lang.foreign.ValueLayout.JAVA_FLOAT;
import static java.lang.foreign.ValueLayout.JAVA_INT;

import java.lang.foreign.Arena;
import java.lang.foreign.MemorySegment;
import org.estampage.bvh.RayBatch;

/**
 * Rays off the heap, with room for their answers.
 *
 * @shape eight planes of floats: origins x y z, directions x y z, lower ends, upper ends; a plane has a multiple of 16 floats, at least 16 more than rays
 * @threads safe while different threads trace different rays; what one wrote another sees after the usual hand-over
 */
public final class NativeRays implements AutoCloseable {
    private static final int LANES = 16;
    private static final int CACHE_LINE = 64;

    final MemorySegment planes;
    final MemorySegment distances;
    final MemorySegment triangles;
    final MemorySegment flags;
    final long stride;
    private final Arena arena = Arena.ofShared();
    private final int size;

    private NativeRays(int size) {
        this.size = size;
        stride = (size + 2L * LANES - 1) / LANES * LANES;
        planes = arena.allocate(8 * stride * Float.BYTES, CACHE_LINE);
        distances = arena.allocate(stride * Float.BYTES, CACHE_LINE);
        triangles = arena.allocate(stride * Integer.BYTES, CACHE_LINE);
        flags = arena.allocate(stride, CACHE_LINE);
    }

    /** Copies batches one behind the other. */
    public static NativeRays copyOf(RayBatch... batches) {
        int size = 0;
        for (RayBatch batch : batches) {
            size = Math.addExact(size, batch.size);
        }
        NativeRays rays = new NativeRays(size);
        long first = 0;
        for (RayBatch batch : batches) {
            rays.copy(batch, first);
            first += batch.size;
        }
        return rays;
    }

    private void copy(RayBatch batch, long first) {
        float[][] from = {batch.originX, batch.originY, batch.originZ, batch.directionX, batch.directionY, batch.directionZ, batch.tMin,
                batch.tMax};
        for (int plane = 0; plane < from.length; plane++) {
            MemorySegment.copy(from[plane], 0, planes, JAVA_FLOAT, (plane * stride + first) * Float.BYTES, batch.size);
        }
    }

    /** Returns the number of rays. */
    public int size() {
        return size;
    }

    /** Returns the distance of the first hit of ray {@code i}, in multiples of its direction; its upper end where it hits nothing. */
    public float distance(int i) {
        return distances.getAtIndex(JAVA_FLOAT, i);
    }

    /** Returns the triangle that ray {@code i} hits first, −1 for none. */
    public int triangle(int i) {
        return triangles.getAtIndex(JAVA_INT, i);
    }

    /** Returns whether ray {@code i} hits anything. */
    public boolean blocked(int i) {
        return flags.get(JAVA_BYTE, i) != 0;
    }

    /** Frees the memory. */
    @Override
    public void close() {
        arena.close();
    }
}
