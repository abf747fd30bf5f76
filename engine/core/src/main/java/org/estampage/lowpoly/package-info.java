/**
 * Low polys made from high polys.
 *
 * <p>Obeys: triangles counter-clockwise seen from outside; UVs inside 0…1, never mirrored, never overlapping, with the asked gutter. Start reading
 * at {@link org.estampage.lowpoly.Lathe}. Does not bake and does not make cages.
 */
@NullMarked
package org.estampage.lowpoly;

import org.jspecify.annotations.NullMarked;
