package org.estampage.io.exr;

import java.io.IOException;
import java.io.InputStream;
import java.io.OutputStream;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import org.estampage.task.MemoryBudget;
import org.jspecify.annotations.Nullable;

/**
 * Bytes that wait until their sizes are all known: on the heap as long as a budget has room, the rest in a temporary file.
 *
 * @threads confined to one thread at a time
 */
final class BlockSpool implements AutoCloseable {
    private final MemoryBudget memory;
    private final List<byte[]> held = new ArrayList<>();
    private long reserved;
    private @Nullable Path file;
    private @Nullable OutputStream toFile;

    BlockSpool(MemoryBudget memory) {
        this.memory = memory;
    }

    void add(byte[] bytes) throws IOException {
        if (toFile == null) {
            if (memory.tryReserve(bytes.length)) {
                reserved += bytes.length;
                held.add(bytes);
                return;
            }
            file = Files.createTempFile("estampage", ".blocks");
            toFile = Files.newOutputStream(file);
        }
        toFile.write(bytes);
    }

    /** Writes everything that was added, in its order; nothing can be added then. */
    void writeTo(OutputStream out) throws IOException {
        for (byte[] bytes : held) {
            out.write(bytes);
        }
        if (toFile != null && file != null) {
            toFile.close();
            try (InputStream in = Files.newInputStream(file)) {
                in.transferTo(out);
            }
        }
    }

    @Override
    public void close() throws IOException {
        memory.release(reserved);
        reserved = 0;
        try {
            if (toFile != null) {
                toFile.close();
            }
        } finally {
            if (file != null) {
                Files.deleteIfExists(file);
            }
        }
    }
}
