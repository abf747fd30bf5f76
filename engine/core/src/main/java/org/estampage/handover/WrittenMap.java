package org.estampage.handover;

import java.nio.file.Path;
import java.util.Objects;
import org.estampage.image.Encoding;
import org.estampage.io.format.SampleFormat;

/**
 * A map of a bake that has become a file, or a layer of one.
 *
 * @param file     the file
 * @param map      the map's name
 * @param tile     its UDIM tile; 1001 where there is one image
 * @param samples  how the file holds its numbers
 * @param encoding how raw values became them, as written; floats hold raw values
 * @threads immutable
 */
public record WrittenMap(Path file, String map, int tile, SampleFormat samples, Encoding encoding) {
    /** Checks that nothing is missing. */
    public WrittenMap {
        Objects.requireNonNull(file, "file");
        Objects.requireNonNull(map, "map");
        Objects.requireNonNull(samples, "samples");
        Objects.requireNonNull(encoding, "encoding");
    }
}
