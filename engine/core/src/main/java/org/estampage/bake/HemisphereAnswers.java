package org.estampage.bake;

import java.util.List;

/**
 * The sums of a map's hemisphere queries, one {@link Sums} a query. The arrays are the baker's, to be read only during the call.
 *
 * @threads confined
 */
public final class HemisphereAnswers {
    /** The sums of one query; entry i belongs to sample i. */
    public static final class Sums {
        /** Rays that the sample got; may be 0. */
        public final int[] rays;
        /** Rays that met nothing within reach. */
        public final int[] open;
        /** Sum of the open directions, xyz interleaved. */
        public final float[] direction;
        /** Of a query about distances: sum of the blockers' distances in mesh units; open rays add nothing. */
        public final float[] distance;
        /** Of a query about distances: sum of what blockers count when they fade out towards the reach, each 0 … 1. */
        public final float[] faded;

        Sums(int capacity) {
            rays = new int[capacity];
            open = new int[capacity];
            direction = new float[3 * capacity];
            distance = new float[capacity];
            faded = new float[capacity];
        }
    }

    private final List<Sums> sums;

    HemisphereAnswers(List<Sums> sums) {
        this.sums = List.copyOf(sums);
    }

    /** Returns the sums of the query with this number in {@link SurfaceMap#queries}. */
    public Sums of(int query) {
        return sums.get(query);
    }
}
