/**
 * TIFF files: our own writer of whole numbers and floats, deflated in strips, and a reader for the kinds that image data come in.
 *
 * <p>Obeys: data carry no colour tag, colours in whole numbers carry an sRGB profile; values are stored by an image's encoding, floats raw. Start
 * reading at {@link org.estampage.io.tiff.TiffFormat}. Does not write BigTIFF, nor read it.
 */
@NullMarked
package org.estampage.io.tiff;

import org.jspecify.annotations.NullMarked;
