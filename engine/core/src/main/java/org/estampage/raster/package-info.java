/**
 * Triangles in UV space turned into texel samples with barycentrics.
 *
 * <p>Obeys: texel (x, y), row 0 on top, has its centre at u = (x + ½)/width, v = 1 − (y + ½)/height; which triangle holds a sample is decided
 * exactly, never by rounding; the same samples for any block. Start reading at {@link org.estampage.raster.UvRaster}. Does not trace rays, knows
 * nothing of maps and never fills the gutter.
 */
@NullMarked
package org.estampage.raster;

import org.jspecify.annotations.NullMarked;
