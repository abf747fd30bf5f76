/**
 * A software renderer good enough to judge a bake.
 *
 * <p>Obeys: right-handed coordinates, lengths in mesh units, pictures in linear colour with row 0 on top. Start reading at
 * {@link org.estampage.preview.Preview}. Does not write files.
 */
@NullMarked
package org.estampage.preview;

import org.jspecify.annotations.NullMarked;
