package org.estampage.console;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.attribute.PosixFilePermissions;
import java.util.Map;
import java.util.Optional;

/** Where the prompt keeps what was typed, from one session to the next. */
final class HistoryFile {
    private HistoryFile() {
    }

    /**
     * Returns the file in the user's folder for state, by the system's custom.
     *
     * @param environment the process's environment
     * @param home        the user's home folder
     * @param windows     whether the system is a Windows
     * @source XDG Base Directory Specification 0.8: {@code XDG_STATE_HOME}, else {@code ~/.local/state}; a relative path there is to be ignored
     */
    static Path of(Map<String, String> environment, Path home, boolean windows) {
        String told = environment.getOrDefault(windows ? "LOCALAPPDATA" : "XDG_STATE_HOME", "");
        Path usual = windows ? home.resolve("AppData").resolve("Local") : home.resolve(".local").resolve("state");
        Path state = told.isEmpty() || !Path.of(told).isAbsolute() ? usual : Path.of(told);
        return state.resolve("estampage").resolve("history");
    }

    /**
     * Makes sure that a history can be written.
     *
     * @return why it can't, or nothing
     */
    static Optional<String> prepare(Path file) {
        try {
            Path folder = file.toAbsolutePath().getParent();
            if (folder != null) {
                Files.createDirectories(folder);
            }
            if (!Files.exists(file)) {
                Files.createFile(file);
                keepToOwner(file);
            }
            return Files.isRegularFile(file) && Files.isReadable(file) && Files.isWritable(file)
                    ? Optional.empty()
                    : Optional.of(file + " can't be read and written");
        } catch (IOException e) {
            return Optional.of(e.getMessage() + " can't be made");
        }
    }

    /** What was typed may hold what is nobody else's business. */
    private static void keepToOwner(Path file) throws IOException {
        if (Files.getFileStore(file).supportsFileAttributeView("posix")) {
            Files.setPosixFilePermissions(file, PosixFilePermissions.fromString("rw-------"));
        }
    }
}
