/**
 * What the readers and writers of several formats share: bytes in, numbers as text, growing arrays, polygons to triangles. Not exported.
 *
 * <p>Obeys: nothing here knows a format. Start reading at {@link org.estampage.io.shared.FileSource}. Does not decide what is an error and what a
 * finding.
 */
@NullMarked
package org.estampage.io.shared;

import org.jspecify.annotations.NullMarked;
