package org.estampage.mesh;

import java.util.List;
import org.jspecify.annotations.Nullable;

/**
 * A name for every triangle: which part, which material, which group it belongs to.
 *
 * <p>The array is owned by the labels after construction and must not be changed.
 *
 * @threads immutable by contract
 */
public final class Labels {
    private final List<String> names;
    private final int @Nullable [] ofTriangle;

    /**
     * Makes labels.
     *
     * @param names      the names; the same name may stand twice
     * @param ofTriangle a name's number for each triangle, −1 for none; null when all triangles have the first name
     * @throws IllegalArgumentException if a number is out of range, or there is not exactly one name when {@code ofTriangle} is null
     */
    public Labels(List<String> names, int @Nullable [] ofTriangle) {
        this.names = List.copyOf(names);
        this.ofTriangle = ofTriangle;
        if (ofTriangle == null) {
            if (names.size() != 1) {
                throw new IllegalArgumentException(names.size() + " names without a number for each triangle");
            }
        } else {
            for (int number : ofTriangle) {
                if (number < -1 || number >= names.size()) {
                    throw new IllegalArgumentException("label number " + number + " must be −1 … " + (names.size() - 1));
                }
            }
        }
    }

    /** Returns the names. */
    public List<String> names() {
        return names;
    }

    /** Returns the number of a triangle's name, −1 for none. */
    public int of(int triangle) {
        return ofTriangle == null ? 0 : ofTriangle[triangle];
    }

    /** Returns the numbers of some triangles; null when all triangles have the first name. */
    int @Nullable [] picked(int[] triangles) {
        return ofTriangle == null ? null : MeshSubset.picked(ofTriangle, triangles, 1);
    }

    int length() {
        return ofTriangle == null ? -1 : ofTriangle.length;
    }
}
