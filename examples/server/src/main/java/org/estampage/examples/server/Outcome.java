package org.estampage.examples.server;

import java.nio.file.Path;
import java.util.Map;
import org.estampage.finding.Findings;

/**
 * The files of a bake, as paths within its job's folder.
 *
 * @param maps     the maps' files by the maps' names, in the job's order
 * @param manifest what says how they were made
 * @param model    the low poly dressed in them
 * @param findings what was noticed
 */
record Outcome(Map<String, Path> maps, Path manifest, Path model, Findings findings) {
}
