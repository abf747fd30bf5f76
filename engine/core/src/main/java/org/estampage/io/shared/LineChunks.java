package org.estampage.io.shared;

import org.estampage.io.format.FormatException;
import java.io.IOException;
import java.util.Arrays;

/**
 * A text file as runs of whole lines. Each run can be read without the ones before it.
 *
 * <p>Lines end with a line feed, a carriage return, or both. A line whose last character is a backslash goes on in the next one, so a run does not
 * end there. The last line counts as ended where the file ends.
 *
 * @threads confined to one thread at a time
 */
public final class LineChunks {
    /** Line feeds that follow the end of every run, so that a reader may look ahead without counting. */
    public static final int SLACK = 8;
    private static final int CHUNK = 1 << 21;
    private static final int LONGEST_LINE = 1 << 30;

    private final FileSource source;
    private byte[] bytes;
    private int end;
    private int filled;
    private boolean atStart;

    /** Begins with the next byte of a source. */
    public LineChunks(FileSource source) {
        this.source = source;
        bytes = new byte[(int) Math.min(CHUNK, source.size() - source.position() + 1) + SLACK];
        atStart = source.position() == 0;
    }

    /**
     * Goes to the next run.
     *
     * @return whether there is one
     * @throws FormatException if a line is longer than 2³⁰ bytes
     */
    public boolean next() throws IOException {
        filled -= end;
        System.arraycopy(bytes, end, bytes, 0, filled);
        int searched = 0;
        while (true) {
            int room = bytes.length - SLACK - filled;
            int read = source.read(bytes, filled, room);
            filled += read;
            if (atStart) {
                skipByteOrderMark();
            }
            if (read < room) { // the file's end
                end = filled;
                break;
            }
            end = lastLineEnd(searched);
            if (end > 0) {
                break;
            }
            searched = filled;
            if (filled >= LONGEST_LINE) {
                throw FormatException.atByte(source.name(), source.position() - filled, "a line of more than " + LONGEST_LINE + " bytes",
                        "shorter lines");
            }
            bytes = Arrays.copyOf(bytes, (int) Math.min(LONGEST_LINE + 1L, 2L * filled) + SLACK);
        }
        if (end == 0) {
            return false;
        }
        if (end == filled) { // otherwise the next line stands there; whole lines end with an end of line, so nobody looks past it
            Arrays.fill(bytes, end, end + SLACK, (byte) '\n');
        }
        return true;
    }

    private void skipByteOrderMark() {
        atStart = false;
        if (filled >= 3 && (bytes[0] & 0xff) == 0xef && (bytes[1] & 0xff) == 0xbb && (bytes[2] & 0xff) == 0xbf) {
            bytes[0] = ' ';
            bytes[1] = ' ';
            bytes[2] = ' ';
        }
    }

    /** Returns the place after the last end of line that begins in {@code from … filled − 2}, 0 if there is none. */
    private int lastLineEnd(int from) {
        int lineStart = lastBreak('\n', from);
        return lineStart > 0 ? lineStart : lastBreak('\r', from); // alone only in files that have no line feeds
    }

    private int lastBreak(char breaking, int from) {
        // Not the very last byte: what follows a carriage return must be seen.
        for (int i = filled - 2; i >= from; i--) {
            if (bytes[i] == breaking && (breaking == '\n' || bytes[i + 1] != '\n')) {
                int before = i - 1;
                if (before >= 0 && breaking == '\n' && bytes[before] == '\r') {
                    before--;
                }
                if (before < 0 || bytes[before] != '\\') {
                    return i + 1;
                }
            }
        }
        return 0;
    }

    /** Returns the array that the run stands in, from 0 on; it is used again for the next run. */
    public byte[] bytes() {
        return bytes;
    }

    /** Returns the end of the run. */
    public int end() {
        return end;
    }
}
