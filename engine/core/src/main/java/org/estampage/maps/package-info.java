/**
 * The map types: one class each, all of them {@link org.estampage.bake.SurfaceMap}s.
 *
 * <p>Obeys: raw values as the Javadoc of each class says; integer encodings are left to writers. Start reading at
 * {@link org.estampage.maps.CoverageMap}, the shortest. Does not trace.
 */
@NullMarked
package org.estampage.maps;

import org.jspecify.annotations.NullMarked;
