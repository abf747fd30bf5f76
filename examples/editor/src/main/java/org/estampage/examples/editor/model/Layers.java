package org.estampage.examples.editor.model;

/**
 * What the 3D view shows.
 *
 * @param high the high polys
 * @param low  the low poly
 * @param cage the cage, over them
 */
public record Layers(boolean high, boolean low, boolean cage) {
    /** The high poly in its cage. */
    public static final Layers FIRST = new Layers(true, false, true);

    /** Returns these layers with or without the high polys. */
    public Layers withHigh(boolean value) {
        return new Layers(value, low, cage);
    }

    /** Returns these layers with or without the low poly. */
    public Layers withLow(boolean value) {
        return new Layers(high, value, cage);
    }

    /** Returns these layers with or without the cage. */
    public Layers withCage(boolean value) {
        return new Layers(high, low, value);
    }
}
