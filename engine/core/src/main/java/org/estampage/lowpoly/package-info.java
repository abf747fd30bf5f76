/**
 * Low polys made from high polys.
 *
 * <p>Obeys: triangles counter-clockwise seen from outside; UVs that are made here lie inside 0…1, never mirrored, never overlapping, with the asked
 * gutter; UVs that came along keep their seams. Start reading at {@link org.estampage.lowpoly.Decimate} for any shape, at
 * {@link org.estampage.lowpoly.Lathe} for turned ones, at {@link org.estampage.lowpoly.ScanLowPoly} for scans. Does not bake, does not make cages and does not unwrap.
 */
@NullMarked
package org.estampage.lowpoly;

import org.jspecify.annotations.NullMarked;
