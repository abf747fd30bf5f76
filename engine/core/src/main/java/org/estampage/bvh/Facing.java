package org.estampage.bvh;

/** Which sides of triangles a ray can hit. A side is judged by the winding of the triangle, not by normals of the file. */
public enum Facing {
    /** Both sides. */
    BOTH,
    /** Only triangles whose corners run counter-clockwise as the ray sees them. */
    FRONT,
    /** Only triangles whose corners run clockwise as the ray sees them. */
    BACK
}
