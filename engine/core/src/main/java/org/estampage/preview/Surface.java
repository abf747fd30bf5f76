package org.estampage.preview;

/**
 * What a ray met: a point of a figure and what it wears there. A scratch object.
 *
 * @space object; all normals have unit length and look towards the viewer's side of the face
 * @threads confined
 */
final class Surface {
    int triangle;
    /** The point. */
    double px, py, pz;
    /** Where rays leave: the point, lifted onto the rounded shape that the corner normals suggest, off the face. */
    float startX, startY, startZ;
    /** The face's normal. */
    double fx, fy, fz;
    /** The interpolated normal. */
    double sx, sy, sz;
    /** The normal that shades: of the map, where there is one. */
    double nx, ny, nz;
    /** The material. */
    float red, green, blue, roughness, metal;
    /** How open it is, by the map; NaN where there is none. */
    float occlusion;
    /** Whether the face was met from behind. */
    boolean back;
    /** Where in UV space. */
    double u, v;
}
