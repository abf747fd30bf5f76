/**
 * Cages: the envelope around a low poly, with its topology, that projection rays start from.
 *
 * <p>Obeys: right-handed coordinates, triangles counter-clockwise seen from outside; lengths are mesh units, positions are floats, everything in
 * between is computed in doubles; vertices at exactly the same position share one cage position, so that hard edges and UV seams do not tear the
 * cage; what is said about a cage is said about its floats as they are stored, and crossings are decided without rounding. Start reading at
 * {@link org.estampage.cage.Cage}, then {@link org.estampage.cage.CageFit} and {@link org.estampage.cage.CageCheck}. Does not bake and does not read or
 * write files.
 */
@NullMarked
package org.estampage.cage;

import org.jspecify.annotations.NullMarked;
