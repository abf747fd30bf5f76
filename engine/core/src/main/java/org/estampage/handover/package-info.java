/**
 * Delivers what a bake gave: file names, bit depths, texts in the files.
 *
 * <p>Obeys: the files of one call appear together, each whole, or not at all. Start reading at {@link org.estampage.handover.MapFiles}. Does not change values.
 */
@NullMarked
package org.estampage.handover;

import org.jspecify.annotations.NullMarked;
