/**
 * TGA files of 8 bits a channel, whole or run-length encoded.
 *
 * <p>Obeys: values are stored by an image's encoding; the format has no place for a colour tag. Start reading at
 * {@link org.estampage.io.tga.TgaFormat}. Does not write palettes and 16-bit texels.
 */
@NullMarked
package org.estampage.io.tga;

import org.jspecify.annotations.NullMarked;
