package org.estampage.examples.editor.model;

/**
 * How the cage comes about.
 *
 * @param fitted whether the engine fits it to the high polys
 * @param offset where it is not fitted, the distance from the low poly, in mesh units
 */
public record CageSettings(boolean fitted, double offset) {
    /** Returns these settings with another distance. */
    public CageSettings withOffset(double value) {
        return new CageSettings(fitted, value);
    }

    /** Returns these settings, fitted or not. */
    public CageSettings withFitted(boolean value) {
        return new CageSettings(value, offset);
    }
}
