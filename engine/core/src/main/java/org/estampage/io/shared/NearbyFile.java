package org.estampage.io.shared;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.InvalidPathException;
import java.nio.file.Path;
import org.jspecify.annotations.Nullable;

/** Files that another file names. They are only looked for in that file's own folder and below. */
public final class NearbyFile {
    private NearbyFile() {
    }

    /**
     * Returns the file of a name in the folder of the file that names it, whether it is there or not; null when it lies outside or is no file name.
     * Links are followed before judging.
     */
    public static @Nullable Path of(Path namedBy, String name) {
        try {
            Path folder = namedBy.toAbsolutePath().getParent();
            if (folder == null) {
                return null;
            }
            Path path = folder.resolve(name.replace('\\', '/')).normalize();
            if (!path.startsWith(folder.normalize()) || path.equals(folder.normalize())) {
                return null;
            }
            return !Files.exists(path) || path.toRealPath().startsWith(folder.toRealPath()) ? path : null;
        } catch (InvalidPathException | IOException e) { // not a name that a file can have, or a link that leads nowhere
            return null;
        }
    }
}
