package org.estampage.lowpoly;

import java.util.Arrays;

/**
 * Numbers in rising order of a float that is not negative, up to a relative difference of 2⁻⁸: one list for each exponent and leading eight bits of
 * the fraction. What was pushed last comes first within a list.
 *
 * <p>A number may be pushed again with another float; the older entry stays behind and the reader tells by {@link #bucket} that it is stale.
 *
 * @threads confined
 * @cost O(1) a push, O(1) a pop beside walking over empty lists; two ints an entry
 */
final class BucketQueue {
    private static final int SHIFT = 15;
    // Floats that are not negative have 31 bits.
    private static final int BUCKETS = 1 << (31 - SHIFT);

    private final int[] first = new int[BUCKETS];
    private int[] next;
    private int[] value;
    private int free = -1;
    private int used;
    private int current = BUCKETS;

    BucketQueue(int capacity) {
        next = new int[Math.max(16, capacity)];
        value = new int[next.length];
        Arrays.fill(first, -1);
    }

    /** Returns the bucket of a float. */
    static int bucket(float key) {
        return Float.floatToRawIntBits(key) >>> SHIFT;
    }

    void push(int number, float key) {
        int node = free;
        if (node >= 0) {
            free = next[node];
        } else {
            if (used == next.length) {
                int room = (int) Math.min(Integer.MAX_VALUE - 8, used + (long) (used >> 1) + 16);
                next = Arrays.copyOf(next, room);
                value = Arrays.copyOf(value, room);
            }
            node = used++;
        }
        int bucket = bucket(key);
        value[node] = number;
        next[node] = first[bucket];
        first[bucket] = node;
        if (bucket < current) {
            current = bucket;
        }
    }

    /** Returns the number of the front entry and takes it away; −1 when there is none. */
    int pop() {
        while (current < BUCKETS && first[current] < 0) {
            current++;
        }
        if (current == BUCKETS) {
            return -1;
        }
        int node = first[current];
        first[current] = next[node];
        next[node] = free;
        free = node;
        return value[node];
    }

    /** Returns the bucket that {@link #pop} took its last number from. */
    int current() {
        return current;
    }
}
