package org.estampage.io.shared;

import java.util.Arrays;

/**
 * An int array that grows.
 *
 * @threads confined to one thread at a time
 */
public final class IntList {
    private int[] values;
    private int size;

    /** Makes an empty list with room for {@code capacity} values. */
    public IntList(int capacity) {
        values = new int[capacity];
    }

    /** Appends a value. */
    public void add(int value) {
        if (size == values.length) {
            values = Arrays.copyOf(values, Growth.next(size, 1));
        }
        values[size++] = value;
    }

    /** Appends a value so many times. */
    public void fill(int value, int times) {
        if (values.length - size < times) {
            values = Arrays.copyOf(values, Growth.next(size, times));
        }
        Arrays.fill(values, size, size + times, value);
        size += times;
    }

    /** Returns the number of values. */
    public int size() {
        return size;
    }

    /** Returns a value; the caller keeps below {@link #size}. */
    public int get(int index) {
        return values[index];
    }

    /** Forgets the values from {@code size} on. */
    public void truncate(int newSize) {
        size = Math.min(size, newSize);
    }

    /** Returns the values, in an array of their number; the list's own array when it is full, so the list must not be used further. */
    public int[] take() {
        return size == values.length ? values : Arrays.copyOf(values, size);
    }

    /** Returns a copy of the values; the list can be used further. */
    public int[] copy() {
        return Arrays.copyOf(values, size);
    }
}
