/**
 * Images of float channels: raw values with the rule that turns them into stored numbers, row 0 on top.
 *
 * <p>Obeys: texel (x, y) has its centre at u = (x + ½)/width, v = 1 − (y + ½)/height. Start reading at {@link org.estampage.image.FloatImage}.
 * Does not read or write files, and knows nothing of meshes.
 */
@NullMarked
package org.estampage.image;

import org.jspecify.annotations.NullMarked;
