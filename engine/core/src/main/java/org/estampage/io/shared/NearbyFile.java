package org.estampage.io.shared;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.InvalidPathException;
import java.nio.file.Path;
import org.jspecify.annotations.Nullable;

/** Files that another file names. They are only looked for in that file's own folder and below. */
public final class NearbyFile {
    /** Who hears of the names that are looked for while a file is read: readers look for them on the thread that reads. */
    private static final ScopedValue<Listener> LISTENER = ScopedValue.newInstance();

    private NearbyFile() {
    }

    /** Hears of names. */
    @FunctionalInterface
    public interface Listener {
        /** Hears that a file names another one. */
        void named(Path by, String name);
    }

    /** What reads a file. */
    @FunctionalInterface
    public interface Reading<T> {
        /**
         * Returns what was read.
         *
         * @throws IOException if it can't be read
         */
        T read() throws IOException;
    }

    /**
     * Returns what was read, and tells which names were looked for meanwhile, in their order. Who listens around this hears them, too.
     *
     * @throws IOException if it can't be read
     */
    public static <T> T listening(Listener listener, Reading<T> reading) throws IOException {
        Listener around = LISTENER.orElse((by, name) -> {
        });
        return ScopedValue.<Listener>where(LISTENER, (by, name) -> {
            listener.named(by, name);
            around.named(by, name);
        }).call(reading::read);
    }

    /**
     * Returns the file of a name in the folder of the file that names it, whether it is there or not; null when it lies outside or is no file name.
     * Links are followed before judging.
     */
    public static @Nullable Path of(Path namedBy, String name) {
        if (LISTENER.isBound()) {
            LISTENER.get().named(namedBy, name);
        }
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
