package org.estampage.lowpoly;

import java.util.Arrays;

/**
 * Numbers in rising order of a float that is not negative, up to a relative difference of 2⁻⁸: one stack for each exponent and leading eight bits of
 * the fraction. What was pushed last comes first within a stack.
 *
 * <p>A number may be pushed again with another float; the older entry stays behind and the reader tells by {@link #bucket} that it is stale.
 *
 * @shape a stack is a list of blocks of {@value #BLOCK} ints, a line of cache each: the block below, then up to {@code BLOCK − 1} numbers
 * @threads confined
 * @cost O(1) a push, O(1) a pop beside walking over empty stacks; about one int an entry
 */
final class BucketQueue {
    private static final int SHIFT = 15;
    // Floats that are not negative have 31 bits.
    private static final int BUCKETS = 1 << (31 - SHIFT);
    private static final int BLOCK = 16;

    private final int[] top = new int[BUCKETS];
    /** Numbers in the top block; 0 only where the stack is empty. */
    private final byte[] filled = new byte[BUCKETS];
    private int[] blocks;
    private int free = -1;
    private int used;
    private int current = BUCKETS;

    BucketQueue(int capacity) {
        blocks = new int[Math.max(BLOCK, capacity + capacity / 8)];
        Arrays.fill(top, -1);
    }

    /** Returns the bucket of a float. */
    static int bucket(float key) {
        return Float.floatToRawIntBits(key) >>> SHIFT;
    }

    void push(int number, float key) {
        int bucket = bucket(key);
        int at = filled[bucket];
        if (at == 0 || at == BLOCK - 1) {
            int block = newBlock();
            blocks[block] = top[bucket];
            top[bucket] = block;
            at = 0;
        }
        blocks[top[bucket] + ++at] = number;
        filled[bucket] = (byte) at;
        if (bucket < current) {
            current = bucket;
        }
    }

    private int newBlock() {
        int block = free;
        if (block >= 0) {
            free = blocks[block];
            return block;
        }
        if (used > blocks.length - BLOCK) {
            long room = blocks.length + (long) (blocks.length >> 1) + BLOCK;
            blocks = Arrays.copyOf(blocks, (int) Math.min(Integer.MAX_VALUE - 8, room));
        }
        block = used;
        used += BLOCK;
        return block;
    }

    /** Returns the number of the front entry and takes it away; −1 when there is none. */
    int pop() {
        while (current < BUCKETS && filled[current] == 0) {
            current++;
        }
        if (current == BUCKETS) {
            return -1;
        }
        int block = top[current];
        int at = filled[current];
        int number = blocks[block + at];
        if (--at == 0) {
            top[current] = blocks[block];
            at = top[current] < 0 ? 0 : BLOCK - 1;
            blocks[block] = free;
            free = block;
        }
        filled[current] = (byte) at;
        return number;
    }

    /** Returns the bucket that {@link #pop} took its last number from. */
    int current() {
        return current;
    }
}
