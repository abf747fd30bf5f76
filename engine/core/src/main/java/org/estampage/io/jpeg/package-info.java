/**
 * JPEG files. Start reading at {@link org.estampage.io.jpeg.JpegFormat}. Does not write any.
 */
@NullMarked
package org.estampage.io.jpeg;

import org.jspecify.annotations.NullMarked;
