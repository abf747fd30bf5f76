package org.estampage.mesh;

import java.util.Objects;

/**
 * Values that the corners of triangles point to: normals, one UV set, one colour set, tangents, skin weights, anything a file brought along.
 *
 * <p>The arrays are owned by the attribute after construction and shared with every caller: they must not be changed.
 *
 * @shape values: {@code components} floats an entry, interleaved; indices: one entry number a triangle corner, corner k of triangle t at 3t + k
 * @threads immutable by contract
 */
public final class Attribute {
    /** How a file stored the numbers, so that they go out as they came in. */
    public enum Storage {
        /** 32-bit floats. */
        FLOAT,
        /** Integers 0 … 255. */
        UNSIGNED_BYTE,
        /** Integers 0 … 65535. */
        UNSIGNED_SHORT,
        /** Other integers; exact up to 2²⁴. */
        INTEGER,
        /** Bytes that stand for 0 … 1; the values here are 0 … 1. */
        UNIT_BYTE,
        /** Shorts that stand for 0 … 1; the values here are 0 … 1. */
        UNIT_SHORT
    }

    private final String name;
    private final int components;
    private final float[] values;
    private final int[] indices;
    private final Storage storage;

    /**
     * Makes an attribute of floats.
     *
     * @throws IllegalArgumentException if a length is not a multiple of its element or an index is out of range
     */
    public Attribute(String name, int components, float[] values, int[] indices) {
        this(name, components, values, indices, Storage.FLOAT);
    }

    /**
     * Makes an attribute.
     *
     * @throws IllegalArgumentException if a length is not a multiple of its element or an index is out of range
     */
    public Attribute(String name, int components, float[] values, int[] indices, Storage storage) {
        this.name = Objects.requireNonNull(name, "name");
        this.storage = Objects.requireNonNull(storage, "storage");
        if (components < 1 || values.length % components != 0) {
            throw new IllegalArgumentException(
                    "attribute " + name + ": " + values.length + " values are not a multiple of " + components + " components");
        }
        this.components = components;
        this.values = values;
        this.indices = indices;
        Mesh.checkIndices("attribute " + name, indices, values.length / components);
    }

    /** Returns the name; UV sets and colour sets are told apart by it. */
    public String name() {
        return name;
    }

    /** Returns the floats an entry has. */
    public int components() {
        return components;
    }

    /** Returns the number of entries. */
    public int count() {
        return values.length / components;
    }

    /** Returns the values; not to be changed. */
    public float[] values() {
        return values;
    }

    /** Returns the entry numbers of the triangle corners; not to be changed. */
    public int[] indices() {
        return indices;
    }

    /** Returns how a file stored the numbers. */
    public Storage storage() {
        return storage;
    }

    /** Returns whether two corners have the same values. */
    public boolean sameAt(int corner, int other) {
        int i = components * indices[corner], j = components * indices[other];
        for (int k = 0; i != j && k < components; k++) {
            if (values[i + k] != values[j + k]) {
                return false;
            }
        }
        return true;
    }

    /**
     * Returns whether values break along an edge: at either end the triangles on both sides have different ones.
     *
     * @param edge     3t + k, from corner k of triangle t to the next
     * @param opposite the edge across, as {@link Adjacency} names it
     */
    public boolean breaksAt(int edge, int opposite) {
        return !sameAt(edge, Adjacency.next(opposite)) || !sameAt(Adjacency.next(edge), opposite);
    }

    /** Returns the same values under another name. */
    public Attribute named(String other) {
        return new Attribute(other, components, values, indices, storage);
    }

    @Override
    public String toString() {
        return name + ": " + count() + " × " + components;
    }
}
