/**
 * Laying meshes flat: seams, charts, packing, measures.
 *
 * <p>Obeys: u right, v up, origin at the lower left; charts are never mirrored and never overlap unless copies were asked for; texels are of the target
 * size; the same UVs on any number of threads. Start reading at {@link org.estampage.uv.Unwrap}. Does not bake, and does not change a mesh's shape.
 */
@NullMarked
package org.estampage.uv;

import org.jspecify.annotations.NullMarked;
