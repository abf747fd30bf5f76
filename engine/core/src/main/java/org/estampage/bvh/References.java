package org.estampage.bvh;

import org.estampage.internal.kernel.BoxLoops;
import org.estampage.mesh.Mesh;

/**
 * The references of some triangles, as builders move them about: see {@link BoxLoops}.
 *
 * @cost 32 bytes a triangle
 */
final class References {
    /** As many as one array can hold. */
    static final int MOST = Integer.MAX_VALUE / BoxLoops.LANES - 2;

    final float[] refs;
    /** −min xyz, nothing, max xyz, nothing. */
    final float[] box = emptyBox();
    /** A power of two; see {@link BoxLoops}. */
    final float scale;

    /** Takes the boxes of triangles, in parallel. */
    References(Mesh mesh, int[] triangles) {
        int count = triangles.length;
        if (count > MOST) {
            throw new IllegalArgumentException("there are " + count + " triangles, builders hold at most " + MOST);
        }
        refs = new float[BoxLoops.FIRST + BoxLoops.LANES * count];
        float[] positions = mesh.positions();
        int[] corners = mesh.positionIndices();
        float[][] boxes = new float[Pools.chunks(0, count)][];
        Pools.each(0, count, (chunk, begin, end) -> {
            float[] own = emptyBox();
            BoxLoops.refer(positions, corners, triangles, begin, end, refs, own);
            boxes[chunk] = own;
        });
        for (float[] other : boxes) {
            grow(box, other, 0, box.length);
        }
        scale = scaleOf(box);
    }

    long bytes() {
        return 4L * refs.length;
    }

    /** Returns the triangles' numbers in the references' order. */
    int[] numbers() {
        int[] numbers = new int[(refs.length - BoxLoops.FIRST) / BoxLoops.LANES];
        if (numbers.length > 0) {
            Pools.each(0, numbers.length, (chunk, begin, end) -> {
                for (int i = begin; i < end; i++) {
                    numbers[i] = BoxLoops.number(refs, i);
                }
            });
        }
        return numbers;
    }

    static float[] emptyBox() {
        float[] box = new float[BoxLoops.LANES];
        BoxLoops.clear(box, 0, 1);
        return box;
    }

    /** Grows boxes that are given as maxima. */
    static void grow(float[] inoutMaxima, float[] by, int from, int length) {
        for (int i = 0; i < length; i++) {
            inoutMaxima[i] = Math.max(inoutMaxima[i], by[from + i]);
        }
    }

    /**
     * Returns a power of two that makes the longest extent about 1, or less where that would take coordinates beyond 2⁶⁰: areas of scaled boxes then are
     * far from overflowing, and their loss of the smallest ones says nothing.
     */
    private static float scaleOf(float[] box) {
        double extent = 0;
        double most = 0;
        for (int axis = 0; axis < 3; axis++) {
            double low = -(double) box[axis];
            double high = box[BoxLoops.HIGH + axis];
            extent = Math.max(extent, high - low);
            most = Math.max(most, Math.max(Math.abs(low), Math.abs(high)));
        }
        int exponent = Math.min(-Math.getExponent(extent), 60 - Math.getExponent(most));
        return Math.scalb(1f, Math.max(Float.MIN_EXPONENT, Math.min(Float.MAX_EXPONENT, exponent)));
    }
}
