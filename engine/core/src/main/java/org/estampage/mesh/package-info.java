/**
 * Immutable indexed triangle meshes in flat arrays, with everything a file brought along, and what can be computed from a mesh alone: welding,
 * normals, tangents, adjacency, checks.
 *
 * <p>Obeys: right-handed coordinates, triangles counter-clockwise seen from outside, u right and v up from the image's lower left. Start reading
 * at {@link org.estampage.mesh.Mesh}. Does not read files and does not trace rays.
 */
@NullMarked
package org.estampage.mesh;

import org.jspecify.annotations.NullMarked;
