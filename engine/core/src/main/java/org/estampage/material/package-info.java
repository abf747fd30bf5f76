/**
 * From baked maps to a material: normals laid over normals, tiling, masks, layers, channels packed into one image.
 *
 * <p>Obeys: colours are mixed in linear light, normals by direction with green up as the raw values have it; images are worked through row by row, with the
 * same values for any number of threads. Start reading at {@link org.estampage.material.LayNormals}. Knows nothing of meshes and files: what it needs of a
 * mesh are baked images.
 */
@NullMarked
package org.estampage.material;

import org.jspecify.annotations.NullMarked;
