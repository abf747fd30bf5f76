/**
 * PLY files: text and both binary orders.
 *
 * <p>Obeys: the header's counts are checked against the file's size before anything is allocated. Start reading at
 * {@link org.estampage.io.ply.PlyFormat}. Does not read triangle strips, per-corner lists or elements other than vertices and faces.
 */
@NullMarked
package org.estampage.io.ply;

import org.jspecify.annotations.NullMarked;
