package org.estampage.io.format;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import java.io.IOException;
import java.nio.file.FileSystemException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.concurrent.CancellationException;
import java.util.stream.Stream;
import org.estampage.task.Task;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

class AtomicFileTest {
    @TempDir
    Path folder;

    @Test
    void write_intoMissingFolders_makesThem() throws IOException {
        Path target = folder.resolve("a/b/c.bin");
        AtomicFile.write(target, Task.silent(), out -> out.write(new byte[] {1, 2, 3}));
        assertThat(target).hasBinaryContent(new byte[] {1, 2, 3});
        assertThat(names(folder.resolve("a/b"))).containsExactly("c.bin");
    }

    @Test
    void write_belowAFile_saysThatItIsOne() throws IOException {
        Files.writeString(folder.resolve("a"), "not a folder");
        assertThatThrownBy(() -> AtomicFile.write(folder.resolve("a/b.txt"), Task.silent(), out -> out.write(1)))
                .isInstanceOf(FileSystemException.class).hasMessageContaining("is a file, must be a folder for b.txt");
    }

    @Test
    void write_ofManyBytesInAllSizes_keepsTheirOrder() throws IOException {
        byte[] all = new byte[500_000];
        for (int i = 0; i < all.length; i++) {
            all[i] = (byte) (i * 31 + (i >> 8));
        }
        Path target = folder.resolve("big.bin");
        AtomicFile.write(target, Task.silent(), out -> {
            int at = 0;
            for (int length = 1; at < all.length; length = length * 3 + 1) {
                int n = Math.min(length, all.length - at);
                out.write(all, at, n);
                at += n;
                if (at < all.length) {
                    out.write(all[at++]);
                }
            }
        });
        assertThat(Files.readAllBytes(target)).isEqualTo(all);
    }

    @Test
    void write_replacesAnOlderFile_andDoesNotNeedTheBodyToLeaveItOpen() throws IOException {
        Path target = folder.resolve("a.txt");
        Files.writeString(target, "old");
        AtomicFile.write(target, Task.silent(), out -> {
            out.write('n');
            out.close();
        });
        assertThat(target).hasContent("n");
    }

    @Test
    void write_whenTheBodyFails_keepsTheOlderFileAndLeavesNothing() throws IOException {
        Path target = folder.resolve("a.txt");
        Files.writeString(target, "old");
        assertThatThrownBy(() -> AtomicFile.write(target, Task.silent(), out -> {
            out.write(new byte[200_000]);
            throw new IOException("planned");
        })).isInstanceOf(IOException.class).hasMessage("planned");
        assertThat(target).hasContent("old");
        assertThat(names(folder)).containsExactly("a.txt");
    }

    @Test
    void write_whenCancelledMidway_leavesNothing() throws IOException {
        Task task = Task.silent();
        assertThatThrownBy(() -> AtomicFile.write(folder.resolve("a.txt"), task, out -> {
            out.write(new byte[100_000]);
            task.cancellation().cancel();
            out.write(new byte[100_000]);
            throw new AssertionError("the write must stop");
        })).isInstanceOf(CancellationException.class);
        assertThat(names(folder)).isEmpty();
    }

    @Test
    void write_whenCancelledAfterTheLastByte_leavesNothing() throws IOException {
        Task task = Task.silent();
        assertThatThrownBy(() -> AtomicFile.write(folder.resolve("a.txt"), task, out -> {
            out.write('x');
            task.cancellation().cancel();
        })).isInstanceOf(CancellationException.class);
        assertThat(names(folder)).isEmpty();
    }

    @Test
    void write_throughASymbolicLink_replacesWhatItPointsTo() throws IOException {
        Path real = folder.resolve("real.txt");
        Files.writeString(real, "old");
        Path link = Files.createSymbolicLink(folder.resolve("link.txt"), real);
        AtomicFile.write(link, Task.silent(), out -> out.write('n'));
        assertThat(link).isSymbolicLink();
        assertThat(real).hasContent("n");
    }

    @Test
    void write_ontoAFolder_isRefused() {
        assertThatThrownBy(() -> AtomicFile.write(folder, Task.silent(), out -> out.write(1))).isInstanceOf(FileSystemException.class)
                .hasMessageContaining("is a folder");
    }

    @Test
    void write_givesTheFileTheUsualMode() throws IOException {
        Path usual = Files.writeString(folder.resolve("usual"), "");
        Path target = folder.resolve("a.txt");
        AtomicFile.write(target, Task.silent(), out -> out.write('n'));
        assertThat(Files.getPosixFilePermissions(target)).isEqualTo(Files.getPosixFilePermissions(usual));
    }

    private static List<String> names(Path folder) throws IOException {
        try (Stream<Path> list = Files.list(folder)) {
            return list.map(p -> p.getFileName().toString()).sorted().toList();
        }
    }
}
