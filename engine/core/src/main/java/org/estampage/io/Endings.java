package org.estampage.io;

import java.nio.file.Path;
import java.util.Locale;
import org.estampage.io.shared.FileSource;

/** The endings of files' names, which pick the format that is written. */
final class Endings {
    private Endings() {
    }

    /** Returns what follows the last dot of a file's name, in small letters; empty without a dot. */
    static String of(Path path) {
        String name = FileSource.name(path);
        int dot = name.lastIndexOf('.');
        return dot < 0 ? "" : name.substring(dot + 1).toLowerCase(Locale.ROOT);
    }

    /**
     * Returns the exception for a file that is to be written and whose ending names no format: a mistake of the caller, not of a file.
     *
     * @param kind  what the formats hold, with its article
     * @param known the formats with their endings
     */
    static IllegalArgumentException unknown(Path path, String kind, String known) {
        return new IllegalArgumentException(FileSource.name(path) + " has no ending that names " + kind + " format: use one of " + known);
    }
}
