/**
 * What every format offers and promises: its contract, the exception for files that break their format, files that appear whole or not at all.
 *
 * <p>Start reading at {@link org.estampage.io.format.MeshFormat}. Does not know a format.
 */
@NullMarked
package org.estampage.io.format;

import org.jspecify.annotations.NullMarked;
