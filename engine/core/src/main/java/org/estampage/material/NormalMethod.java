package org.estampage.material;

/**
 * How two normals b (the base's) and d (the detail's) become one, which is brought to unit length in the end. A flat base leaves the detail as it is,
 * within 2⁻²² a component, unless a method's line says otherwise.
 *
 * @source all as compared by Barré-Brisebois and Hill, Blending in Detail, 2012
 */
public enum NormalMethod {
    /**
     * The detail turned by the shortest turn that takes z to the base: with t = b + (0, 0, 1) and u = d · (−1, −1, 1) it is t (t·u) / t.z − u. The detail keeps its
     * strength on slopes, and a flat detail leaves the base as it is.
     *
     * @source Barré-Brisebois and Hill, Blending in Detail, 2012
     */
    REORIENTED,
    /** The slopes x/z and y/z added, as the slopes of two heights laid on each other are: (b.x d.z + d.x b.z, b.y d.z + d.y b.z, b.z d.z). */
    SLOPES_ADDED,
    /** x and y added, z multiplied: steep places of either stay visible. */
    XY_ADDED_Z_MULTIPLIED,
    /** x and y added, z kept as the base has it: cheap. A flat base changes the detail, its z is 1; a flat detail leaves the base as it is. */
    XY_ADDED_Z_KEPT,
    /** x, y and z added: the mean direction of both, which weakens either. A flat base flattens the detail. */
    XYZ_ADDED,
    /** The detail along three axes that are the base with its components exchanged: (b.z, b.y, −b.x), (b.x, b.z, −b.y), b. */
    XYZ_EXCHANGED,
    /**
     * The stored values, 0 … 1, multiplied below one half of the base and their complements above, doubled: what painting programs for colours do. A flat base
     * changes the detail, its z is 1; here for comparison with old textures.
     */
    STORED_MULTIPLIED
}
