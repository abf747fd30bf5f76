package org.estampage.testresources;

import java.io.IOException;
import java.io.InputStream;
import java.nio.ByteBuffer;
import java.nio.ByteOrder;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Arrays;
import java.util.Map;
import java.util.TreeMap;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import java.util.zip.ZipEntry;
import java.util.zip.ZipInputStream;

/**
 * An array of a .npy file, or of an .npz archive of them: integers, float32 and float64, little endian, rows first.
 *
 * @source NumPy documentation, numpy.lib.format, versions 1.0 to 3.0
 * @threads immutable by contract
 */
public final class Npy {
    private static final Pattern TYPE = Pattern.compile("'descr'\\s*:\\s*'([^']+)'");
    private static final Pattern FORTRAN = Pattern.compile("'fortran_order'\\s*:\\s*(True|False)");
    private static final Pattern SHAPE = Pattern.compile("'shape'\\s*:\\s*\\(([^)]*)\\)");

    private final int[] shape;
    private final double[] values;

    private Npy(int[] shape, double[] values) {
        this.shape = shape;
        this.values = values;
    }

    /** Returns the lengths of the axes, slowest first; empty for a single number. */
    public int[] shape() {
        return shape.clone();
    }

    /** Returns all values, the last axis fastest. The array is shared. Integers beyond 2⁵³ are rounded. */
    public double[] values() {
        return values;
    }

    /** Returns all values rounded to floats, the last axis fastest. */
    public float[] floats() {
        float[] f = new float[values.length];
        for (int i = 0; i < f.length; i++) {
            f[i] = (float) values[i];
        }
        return f;
    }

    /**
     * Reads all arrays of an .npz archive by their names, without the ending.
     *
     * @throws IOException if the file can't be read, or an array in it is none of the kinds named above
     */
    public static Map<String, Npy> readArchive(Path file) throws IOException {
        Map<String, Npy> arrays = new TreeMap<>();
        try (InputStream in = Files.newInputStream(file); ZipInputStream zip = new ZipInputStream(in)) {
            for (ZipEntry entry = zip.getNextEntry(); entry != null; entry = zip.getNextEntry()) {
                String name = entry.getName();
                if (name.endsWith(".npy")) {
                    arrays.put(name.substring(0, name.length() - 4), read(zip.readAllBytes(), name));
                }
            }
        }
        return arrays;
    }

    /**
     * Reads one array.
     *
     * @param bytes the whole .npy file
     * @param name  what to call it in messages
     * @throws IOException if it is none of the kinds named above, or too short
     */
    public static Npy read(byte[] bytes, String name) throws IOException {
        if (bytes.length < 12 || (bytes[0] & 255) != 0x93 || !new String(bytes, 1, 5, StandardCharsets.ISO_8859_1).equals("NUMPY")) {
            throw new IOException(name + ": the first bytes must be 93 'NUMPY'");
        }
        ByteBuffer buffer = ByteBuffer.wrap(bytes).order(ByteOrder.LITTLE_ENDIAN);
        // Version 1 has a header length of two bytes, later ones of four.
        int start = bytes[6] == 1 ? 10 : 12;
        long headerLength = bytes[6] == 1 ? buffer.getShort(8) & 0xFFFF : buffer.getInt(8) & 0xFFFFFFFFL;
        if (start + headerLength > bytes.length) {
            throw new IOException(name + ": the header of " + headerLength + " bytes does not fit into the file of " + bytes.length);
        }
        String header = new String(bytes, start, (int) headerLength, StandardCharsets.UTF_8);
        if (!find(FORTRAN, header, name).equals("False")) {
            throw new IOException(name + ": columns first ('fortran_order': True) is not read");
        }
        int[] shape = Arrays.stream(find(SHAPE, header, name).split(",")).map(String::strip).filter(s -> !s.isEmpty())
                .mapToInt(Integer::parseInt).toArray();
        long count = 1;
        for (int length : shape) {
            count = Math.multiplyExact(count, length);
        }
        String type = find(TYPE, header, name);
        int size = type.length() == 3 ? type.charAt(2) - '0' : 0;
        buffer.position(start + (int) headerLength);
        if (count * Math.max(1, size) > buffer.remaining()) {
            throw new IOException(
                    name + ": " + count + " values of type " + type + " are announced, " + buffer.remaining() + " bytes are left");
        }
        double[] values = new double[(int) count];
        for (int i = 0; i < values.length; i++) {
            values[i] = switch (type) {
                case "<f4" -> buffer.getFloat();
                case "<f8" -> buffer.getDouble();
                case "|i1" -> buffer.get();
                case "|u1", "|b1" -> buffer.get() & 0xFF;
                case "<i2" -> buffer.getShort();
                case "<u2" -> buffer.getShort() & 0xFFFF;
                case "<i4" -> buffer.getInt();
                case "<u4" -> buffer.getInt() & 0xFFFFFFFFL;
                case "<i8" -> buffer.getLong();
                default -> throw new IOException(name + ": type " + type + " is not read; little-endian f4, f8, i1 … i8, u1 … u4 are");
            };
        }
        return new Npy(shape, values);
    }

    private static String find(Pattern pattern, String header, String name) throws IOException {
        Matcher matcher = pattern.matcher(header);
        if (!matcher.find()) {
            throw new IOException(name + ": the header lacks " + pattern.pattern().replaceAll("\\\\s\\*.*", "") + ": " + header.strip());
        }
        return matcher.group(1);
    }
}
