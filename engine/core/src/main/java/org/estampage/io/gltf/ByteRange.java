package org.estampage.io.gltf;

import java.io.IOException;
import org.estampage.io.format.FormatException;
import org.estampage.io.shared.FileSource;
import org.jspecify.annotations.Nullable;

/**
 * The bytes of a buffer: a stretch of a file, or an array.
 *
 * @threads confined to one thread at a time
 */
final class ByteRange {
    private final @Nullable FileSource file;
    private final byte[] array;
    private final long start;
    private final long length;

    private ByteRange(@Nullable FileSource file, byte[] array, long start, long length) {
        this.file = file;
        this.array = array;
        this.start = start;
        this.length = length;
    }

    static ByteRange of(FileSource file, long start, long length) {
        return new ByteRange(file, new byte[0], start, length);
    }

    static ByteRange of(byte[] array) {
        return new ByteRange(null, array, 0, array.length);
    }

    long length() {
        return length;
    }

    /** Copies bytes that are in range. */
    void read(long from, byte[] dest, int count) throws IOException {
        if (file == null) {
            System.arraycopy(array, (int) from, dest, 0, count);
            return;
        }
        if (file.position() != start + from) {
            file.seek(start + from);
        }
        int read = file.read(dest, 0, count);
        if (read < count) { // it became shorter while it was read
            throw FormatException.atByte(file.name(), start + from + read, "the end of the file", "the rest of a buffer");
        }
    }
}
