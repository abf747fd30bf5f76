package org.estampage.examples.server;

import java.nio.file.Path;
import org.estampage.finding.Findings;

/**
 * A mesh that was sent and can be read.
 *
 * @param file      where it lies
 * @param bytes     its length
 * @param triangles how many it has
 * @param findings  what was noticed
 */
record Upload(Path file, long bytes, int triangles, Findings findings) {
}
