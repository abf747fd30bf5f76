package org.estampage.io.shared;

import java.util.Arrays;

/**
 * A float array that grows.
 *
 * @threads confined to one thread at a time
 */
public final class FloatList {
    private float[] values;
    private int size;

    /** Makes an empty list with room for {@code capacity} values. */
    public FloatList(int capacity) {
        values = new float[capacity];
    }

    /** Appends two values. */
    public void add(float a, float b) {
        int at = room(2);
        values[at] = a;
        values[at + 1] = b;
    }

    /** Appends three values. */
    public void add(float a, float b, float c) {
        int at = room(3);
        values[at] = a;
        values[at + 1] = b;
        values[at + 2] = c;
    }

    /** Appends a value so many times. */
    public void fill(float value, int times) {
        int at = room(times);
        Arrays.fill(values, at, at + times, value);
    }

    private int room(int count) {
        int at = size;
        if (values.length - at < count) {
            values = Arrays.copyOf(values, Growth.next(at, count));
        }
        size = at + count;
        return at;
    }

    /** Returns the number of values. */
    public int size() {
        return size;
    }

    /** Returns a value; the caller keeps below {@link #size}. */
    public float get(int index) {
        return values[index];
    }

    /** Forgets the values from {@code size} on. */
    public void truncate(int newSize) {
        size = Math.min(size, newSize);
    }

    /** Returns the values, in an array of their number; the list's own array when it is full, so the list must not be used further. */
    public float[] take() {
        return size == values.length ? values : Arrays.copyOf(values, size);
    }

    /** Returns a copy of the values; the list can be used further. */
    public float[] copy() {
        return Arrays.copyOf(values, size);
    }
}
