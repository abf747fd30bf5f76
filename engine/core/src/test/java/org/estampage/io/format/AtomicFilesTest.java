package org.estampage.io.format;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.FileSystemException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.stream.Stream;
import org.estampage.task.Task;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

class AtomicFilesTest {
    @TempDir
    private Path folder;

    private Path first;
    private Path second;
    private Path third;

    @BeforeEach
    void oneOlderFile() throws IOException {
        first = folder.resolve("first.txt");
        second = folder.resolve("deep/second.txt");
        third = folder.resolve("third.txt");
        Files.writeString(first, "old");
    }

    private static AtomicFile.Body text(String text) {
        return out -> out.write(text.getBytes(StandardCharsets.UTF_8));
    }

    private List<String> names() throws IOException {
        try (Stream<Path> files = Files.walk(folder)) {
            return files.filter(Files::isRegularFile).map(file -> folder.relativize(file).toString()).sorted().toList();
        }
    }

    @Test
    void files_appearTogether_onlyWhenAllAreWritten() throws IOException {
        try (AtomicFiles files = AtomicFiles.begin(Task.silent())) {
            files.write(first, text("one"));
            files.write(second, text("two"));
            assertThat(first).hasContent("old");
            assertThat(second).doesNotExist();
            files.finish();
        }
        assertThat(first).hasContent("one");
        assertThat(second).hasContent("two");
        assertThat(names()).containsExactly("deep/second.txt", "first.txt");
    }

    @Test
    void aBodyThatFails_leavesTheOlderFiles_andNothingElse() throws IOException {
        try (AtomicFiles files = AtomicFiles.begin(Task.silent())) {
            files.write(first, text("one"));
            assertThatThrownBy(() -> files.write(second, out -> {
                throw new IOException("disk full");
            })).hasMessage("disk full");
        }
        assertThat(first).hasContent("old");
        assertThat(names()).containsExactly("first.txt");
    }

    @Test
    void aNameThatCannotBeTaken_givesTheOthersBack() throws IOException {
        try (AtomicFiles files = AtomicFiles.begin(Task.silent())) {
            files.write(first, text("one"));
            files.write(third, text("three"));
            files.write(second, text("two"));
            Files.createDirectories(second.resolve("in the way")); // a folder with something in it can't be replaced
            assertThatThrownBy(files::finish).isInstanceOf(FileSystemException.class);
        }
        assertThat(first).hasContent("old");
        assertThat(names()).as("the new third file is gone, too").containsExactly("first.txt");
    }

    @Test
    void aFileTwice_isRefused() throws IOException {
        try (AtomicFiles files = AtomicFiles.begin(Task.silent())) {
            files.write(first, text("one"));
            assertThatThrownBy(() -> files.write(first, text("two"))).isInstanceOf(FileSystemException.class)
                    .hasMessageContaining("written twice");
        }
        assertThat(first).hasContent("old");
    }
}
