/**
 * Cages: the envelope around a low poly, with its topology, that projection rays start from.
 *
 * <p>Obeys: right-handed coordinates, triangles counter-clockwise seen from outside; lengths are mesh units, positions are floats, everything in
 * between is computed in doubles; vertices at exactly the same position share one cage position, so that hard edges and UV seams do not tear the
 * cage. Start reading at {@link org.estampage.cage.Cage}, then {@link org.estampage.cage.CageFit}. Does not bake and does not read or write files.
 */
@NullMarked
package org.estampage.cage;

import org.jspecify.annotations.NullMarked;
