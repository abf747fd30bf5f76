/**
 * A software renderer good enough to judge a bake, and the measured comparison of a dressed low poly with its high poly.
 *
 * <p>Obeys: right-handed coordinates, lengths in mesh units, pictures in linear colour with row 0 on top. Start reading at
 * {@link org.estampage.preview.Preview}, then {@link org.estampage.preview.Compare}. Does not write files.
 */
@NullMarked
package org.estampage.preview;

import org.jspecify.annotations.NullMarked;
