/**
 * PNG files (ISO/IEC 15948): our own parallel encoder for 8 and 16 bits, reading through the JDK.
 *
 * <p>Obeys: data carry no colour chunk, colours carry an sRGB chunk; values are stored by an image's encoding. Start reading at
 * {@link org.estampage.io.png.PngWriter}. Does not write interlaced or palette files.
 */
@NullMarked
package org.estampage.io.png;

import org.jspecify.annotations.NullMarked;
