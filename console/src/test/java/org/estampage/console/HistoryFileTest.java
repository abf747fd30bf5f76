package org.estampage.console;

import static org.assertj.core.api.Assertions.assertThat;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.attribute.PosixFilePermissions;
import java.util.Map;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

class HistoryFileTest {
    @TempDir
    Path folder;

    /** The XDG Base Directory Specification, version 0.8, under "Environment variables". */
    @Test
    void history_liesInTheUsersFolderForState() {
        Path home = folder.resolve("home"), told = folder.resolve("told");
        assertThat(HistoryFile.of(Map.of(), home, false)).isEqualTo(home.resolve(".local/state/estampage/history"));
        assertThat(HistoryFile.of(Map.of("XDG_STATE_HOME", told.toString()), home, false)).isEqualTo(told.resolve("estampage/history"));
        assertThat(HistoryFile.of(Map.of("XDG_STATE_HOME", ""), home, false)).isEqualTo(home.resolve(".local/state/estampage/history"));
        assertThat(HistoryFile.of(Map.of("XDG_STATE_HOME", "not/absolute"), home, false))
                .isEqualTo(home.resolve(".local/state/estampage/history"));
        assertThat(HistoryFile.of(Map.of("LOCALAPPDATA", told.toString()), home, true)).isEqualTo(told.resolve("estampage/history"));
        assertThat(HistoryFile.of(Map.of("XDG_STATE_HOME", told.toString()), home, true))
                .isEqualTo(home.resolve("AppData/Local/estampage/history"));
    }

    @Test
    void history_isItsOwnersAlone() throws IOException {
        Path file = folder.resolve("a/b/history");
        assertThat(HistoryFile.prepare(file)).isEmpty();
        if (Files.getFileStore(file).supportsFileAttributeView("posix")) {
            assertThat(PosixFilePermissions.toString(Files.getPosixFilePermissions(file))).isEqualTo("rw-------");
        }
        Files.writeString(file, "kept");
        assertThat(HistoryFile.prepare(file)).isEmpty();
        assertThat(file).hasContent("kept");
    }

    @Test
    void folderThatCannotBe_isSaid() throws IOException {
        Files.writeString(folder.resolve("file"), "");
        assertThat(HistoryFile.prepare(folder.resolve("file/estampage/history")))
                .hasValueSatisfying(why -> assertThat(why).contains("file"));
        Files.createDirectories(folder.resolve("history"));
        assertThat(HistoryFile.prepare(folder.resolve("history"))).isPresent();
    }
}
