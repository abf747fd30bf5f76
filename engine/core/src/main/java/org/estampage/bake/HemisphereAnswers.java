package org.estampage.bake;

import java.util.Arrays;
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

        /** Rays that all samples of the texel got together. */
        public final int[] raysOfTexel;
        /** Those of them that met nothing within reach. */
        public final int[] openOfTexel;

        Sums(int capacity) {
            rays = new int[capacity];
            open = new int[capacity];
            direction = new float[3 * capacity];
            distance = new float[capacity];
            faded = new float[capacity];
            raysOfTexel = new int[capacity];
            openOfTexel = new int[capacity];
        }

        /** Returns the standard error of openness to expect from the rays of a sample's texel; 1 if it got none. */
        public double errorOfTexel(int sample) {
            return raysOfTexel[sample] == 0 ? 1 : RayCount.error(openOfTexel[sample], raysOfTexel[sample]);
        }

        void clear(int size) {
            Arrays.fill(rays, 0, size, 0);
            Arrays.fill(open, 0, size, 0);
            Arrays.fill(direction, 0, 3 * size, 0f);
            Arrays.fill(distance, 0, size, 0f);
            Arrays.fill(faded, 0, size, 0f);
        }

        /** Adds up rays and open ones of some samples, which are a texel's. */
        void addUp(int from, int to) {
            int allRays = 0;
            int allOpen = 0;
            for (int s = from; s < to; s++) {
                allRays += rays[s];
                allOpen += open[s];
            }
            Arrays.fill(raysOfTexel, from, to, allRays);
            Arrays.fill(openOfTexel, from, to, allOpen);
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
