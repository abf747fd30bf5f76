package org.estampage.io.shared;

import static org.assertj.core.api.Assertions.assertThat;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import org.estampage.task.Task;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

class LineChunksTest {
    @TempDir
    Path folder;

    private String[] chunksOf(String text) throws IOException {
        Path path = Files.writeString(folder.resolve("a.txt"), text, StandardCharsets.ISO_8859_1);
        java.util.List<String> chunks = new java.util.ArrayList<>();
        try (FileSource file = FileSource.open(path, Task.silent())) {
            LineChunks lines = new LineChunks(file);
            while (lines.next()) {
                chunks.add(new String(lines.bytes(), 0, lines.end(), StandardCharsets.ISO_8859_1));
            }
        }
        return chunks.toArray(new String[0]);
    }

    @Test
    void chunks_ofALongFile_endAtLinesAndMissNothing() throws IOException {
        StringBuilder text = new StringBuilder();
        for (int i = 0; text.length() < 7_000_000; i++) {
            text.append("line ").append(i).append(" goes on \\\n here \\\r\n and there".repeat(1 + i % 9))
                    .append(i % 5 == 0 ? "\r\n" : "\n");
        }
        text.append("last without an end");
        String[] chunks = chunksOf(text.toString());
        assertThat(chunks.length).isGreaterThan(2);
        assertThat(String.join("", chunks).equals(text.toString())).isTrue();
        for (int i = 0; i + 1 < chunks.length; i++) {
            assertThat(chunks[i]).endsWith("\n").doesNotEndWith("\\\n").doesNotEndWith("\\\r\n");
        }
    }

    @Test
    void chunks_ofALineLongerThanAChunk_keepItWhole() throws IOException {
        String line = "x".repeat(5_000_000) + "\n";
        String[] chunks = chunksOf("a\n" + line + "b\n");
        assertThat(String.join("", chunks).equals("a\n" + line + "b\n")).isTrue();
        assertThat(chunks[1].startsWith("xx")).isTrue();
        assertThat(chunks[1].length()).isGreaterThanOrEqualTo(line.length());
    }

    @Test
    void chunks_ofCarriageReturnsAlone_endAtThem() throws IOException {
        String text = "0123456\r".repeat(600_000);
        String[] chunks = chunksOf(text);
        assertThat(chunks.length).isGreaterThan(1);
        assertThat(chunks[0]).endsWith("6\r");
        assertThat(String.join("", chunks).equals(text)).isTrue();
    }

    @Test
    void chunks_neverCutACarriageReturnFromItsLineFeed() throws IOException {
        for (int shift = -3; shift <= 3; shift++) { // about the end of the first 2²¹ bytes, which are read at once
            String text = "y".repeat((1 << 21) - 2 + shift) + "\r\nz\r\n" + "x".repeat(1000);
            String[] chunks = chunksOf(text);
            assertThat(String.join("", chunks).equals(text)).isTrue();
            for (String chunk : chunks) {
                assertThat(chunk.startsWith("\n")).isFalse();
            }
        }
    }

    @Test
    void chunks_ofAnEmptyFile_areNone() throws IOException {
        assertThat(chunksOf("")).isEmpty();
    }
}
