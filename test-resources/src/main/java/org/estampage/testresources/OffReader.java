package org.estampage.testresources;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.StringTokenizer;

/**
 * Reads the plain text kind of .off files: vertices and polygons, which become fans of triangles; colours behind a polygon are passed over.
 *
 * @source Geomview manual, section "OFF Files"
 * @threads stateless
 */
public final class OffReader {
    private OffReader() {
    }

    /**
     * Reads a file.
     *
     * @throws IOException if it can't be read or is not such a file
     */
    public static Shape read(Path file) throws IOException {
        return parse(Files.readString(file, StandardCharsets.US_ASCII), file.getFileName().toString());
    }

    /**
     * Reads the text of a file.
     *
     * @param name what to call it in messages
     * @throws IOException if it is not such a text; the message tells the line
     */
    public static Shape parse(String text, String name) throws IOException {
        String[] lines = text.lines().map(line -> line.indexOf('#') < 0 ? line : line.substring(0, line.indexOf('#')))
                .toArray(String[]::new);
        int[] at = {-1};
        StringTokenizer first = next(lines, at, name, "OFF");
        if (!first.nextToken().equals("OFF")) {
            throw new IOException(name + ", line " + (at[0] + 1) + ": must start with OFF");
        }
        StringTokenizer counts = first.hasMoreTokens() ? first : next(lines, at, name, "the counts");
        try {
            int vertexCount = Integer.parseInt(counts.nextToken());
            int faceCount = Integer.parseInt(counts.nextToken());
            if (vertexCount < 0 || faceCount < 0 || (long) vertexCount + faceCount > lines.length) {
                throw new IOException(
                        name + ": " + vertexCount + " vertices and " + faceCount + " faces do not fit into " + lines.length + " lines");
            }
            float[] p = new float[3 * vertexCount];
            for (int v = 0; v < vertexCount; v++) {
                StringTokenizer line = next(lines, at, name, "a vertex");
                for (int i = 0; i < 3; i++) {
                    p[3 * v + i] = Float.parseFloat(line.nextToken());
                }
            }
            int[] t = new int[3 * faceCount];
            int filled = 0;
            for (int f = 0; f < faceCount; f++) {
                StringTokenizer line = next(lines, at, name, "a face");
                int corners = Integer.parseInt(line.nextToken());
                int fan = Integer.parseInt(line.nextToken());
                int before = Integer.parseInt(line.nextToken());
                for (int k = 2; k < corners; k++) {
                    int corner = Integer.parseInt(line.nextToken());
                    if (filled == t.length) {
                        t = java.util.Arrays.copyOf(t, 2 * t.length);
                    }
                    t[filled] = fan;
                    t[filled + 1] = before;
                    t[filled + 2] = corner;
                    filled += 3;
                    before = corner;
                }
            }
            return new Shape(p, java.util.Arrays.copyOf(t, filled));
        } catch (NumberFormatException | java.util.NoSuchElementException e) {
            throw new IOException(name + ", line " + (at[0] + 1) + ": numbers are missing or wrong: " + lines[at[0]].strip(), e);
        }
    }

    private static StringTokenizer next(String[] lines, int[] at, String name, String what) throws IOException {
        do {
            at[0]++;
            if (at[0] >= lines.length) {
                throw new IOException(name + ": the file ends before " + what);
            }
        } while (lines[at[0]].isBlank());
        return new StringTokenizer(lines[at[0]]);
    }
}
