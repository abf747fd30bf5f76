/**
 * Files in and out: what all formats share, and the one place that chooses a format. Each format has a sub-package of its own; this package and
 * its sub-packages are one room.
 *
 * <p>Obeys: a file's content is never trusted (counts are checked against its size before anything is allocated, a file can't name files outside
 * its own folder); whatever a file holds, reading it throws {@link java.io.IOException} or nothing; output appears whole or not at all. Start
 * reading at {@link org.estampage.io.MeshFiles}. Does not repair, reorder or drop anything silently.
 */
@NullMarked
package org.estampage.io;

import org.jspecify.annotations.NullMarked;
