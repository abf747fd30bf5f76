package org.estampage.bake;

import java.io.DataInputStream;
import java.io.DataOutputStream;
import java.io.IOException;
import java.nio.ByteBuffer;
import java.nio.FloatBuffer;
import java.nio.charset.StandardCharsets;
import java.util.ArrayList;
import java.util.BitSet;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import org.estampage.finding.Finding;
import org.estampage.finding.Place;
import org.estampage.finding.Severity;
import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.image.Mask;
import org.estampage.image.Range;
import org.estampage.task.Task;
import org.jspecify.annotations.Nullable;

/**
 * The parts of a kept map as bytes, and back. Readers trust what they read: its check sum was compared before.
 *
 * @threads stateless
 */
final class StoredValues {
    private StoredValues() {
    }

    /**
     * What a map has beside its texels.
     *
     * @param encoding     with the final ranges
     * @param bits         the usual depth of integer files
     * @param tangentSpace whether the channels are a vector in the tangent frame
     * @param details      what a reader of its files must know
     */
    record About(Encoding encoding, int bits, boolean tangentSpace, Map<String, String> details) {
        BakedMap map(String name, FloatImage image) {
            return new BakedMap(name, image, bits, tangentSpace, details);
        }
    }

    static void write(String text, DataOutputStream out) throws IOException {
        byte[] bytes = text.getBytes(StandardCharsets.UTF_8);
        out.writeInt(bytes.length);
        out.write(bytes);
    }

    static String readText(DataInputStream in) throws IOException {
        return new String(in.readNBytes(in.readInt()), StandardCharsets.UTF_8);
    }

    static void write(BakeResult.Counts counts, DataOutputStream out) throws IOException {
        out.writeLong(counts.samples());
        out.writeLong(counts.missedSamples());
        out.writeLong(counts.refinedTexels());
        out.writeLong(counts.projectionRays());
        out.writeLong(counts.hemisphereRays());
    }

    static BakeResult.Counts readCounts(DataInputStream in) throws IOException {
        return new BakeResult.Counts(in.readLong(), in.readLong(), in.readLong(), in.readLong(), in.readLong());
    }

    static void writeAbout(BakedMap map, DataOutputStream out) throws IOException {
        Encoding encoding = map.image().encoding();
        write(encoding.kind().name(), out);
        out.writeInt(encoding.channels());
        for (Range range : encoding.ranges()) {
            out.writeFloat(range.atZero());
            out.writeFloat(range.atOne());
        }
        out.writeInt(map.bits());
        out.writeBoolean(map.tangentSpace());
        out.writeInt(map.details().size());
        for (Map.Entry<String, String> detail : map.details().entrySet()) {
            write(detail.getKey(), out);
            write(detail.getValue(), out);
        }
    }

    static About readAbout(DataInputStream in) throws IOException {
        Encoding.Kind kind = Encoding.Kind.valueOf(readText(in));
        List<Range> ranges = new ArrayList<>();
        for (int channels = in.readInt(); channels > 0; channels--) {
            ranges.add(new Range(in.readFloat(), in.readFloat()));
        }
        int bits = in.readInt();
        boolean tangentSpace = in.readBoolean();
        Map<String, String> details = new LinkedHashMap<>();
        for (int count = in.readInt(); count > 0; count--) {
            details.put(readText(in), readText(in));
        }
        return new About(new Encoding(kind, ranges), bits, tangentSpace, details);
    }

    static void write(List<Finding> findings, DataOutputStream out) throws IOException {
        out.writeInt(findings.size());
        for (Finding finding : findings) {
            write(finding.kind(), out);
            write(finding.severity().name(), out);
            out.writeLong(finding.count());
            write(finding.message(), out);
            write(finding.remedy(), out);
            out.writeInt(finding.places().size());
            for (Place place : finding.places()) {
                write(place, out);
            }
        }
    }

    static List<Finding> readFindings(DataInputStream in) throws IOException {
        List<Finding> findings = new ArrayList<>();
        for (int count = in.readInt(); count > 0; count--) {
            String kind = readText(in);
            Severity severity = Severity.valueOf(readText(in));
            long number = in.readLong();
            String message = readText(in);
            String remedy = readText(in);
            List<Place> places = new ArrayList<>();
            for (int n = in.readInt(); n > 0; n--) {
                places.add(readPlace(in));
            }
            findings.add(new Finding(kind, severity, number, message, remedy, places));
        }
        return findings;
    }

    private static void write(Place place, DataOutputStream out) throws IOException {
        switch (place) {
            case Place.Line at -> {
                out.writeByte(0);
                write(at.source(), out);
                out.writeLong(at.line());
            }
            case Place.Byte at -> {
                out.writeByte(1);
                write(at.source(), out);
                out.writeLong(at.offset());
            }
            case Place.Element at -> {
                out.writeByte(2);
                write(at.what(), out);
                out.writeLong(at.index());
            }
            case Place.Point at -> {
                out.writeByte(3);
                out.writeFloat(at.x());
                out.writeFloat(at.y());
                out.writeFloat(at.z());
            }
            case Place.Texel at -> {
                out.writeByte(4);
                out.writeInt(at.x());
                out.writeInt(at.y());
            }
        }
    }

    private static Place readPlace(DataInputStream in) throws IOException {
        int kind = in.readByte();
        return switch (kind) {
            case 0 -> new Place.Line(readText(in), in.readLong());
            case 1 -> new Place.Byte(readText(in), in.readLong());
            case 2 -> new Place.Element(readText(in), in.readLong());
            case 3 -> new Place.Point(in.readFloat(), in.readFloat(), in.readFloat());
            case 4 -> new Place.Texel(in.readInt(), in.readInt());
            default -> throw new IOException("a place of kind " + kind + " is unknown");
        };
    }

    static void write(Mask mask, DataOutputStream out) throws IOException {
        byte[] bytes = mask.bits().toByteArray();
        out.writeInt(bytes.length);
        out.write(bytes);
    }

    static Mask readMask(int width, int height, DataInputStream in) throws IOException {
        return Mask.of(width, height, BitSet.valueOf(in.readNBytes(in.readInt())));
    }

    /** Writes texels row by row. */
    static void write(FloatImage image, Task.@Nullable Stage stage, DataOutputStream out) throws IOException {
        float[] row = new float[image.width() * image.channels()];
        ByteBuffer bytes = ByteBuffer.allocate(row.length * Float.BYTES);
        FloatBuffer floats = bytes.asFloatBuffer();
        for (int y = 0; y < image.height(); y++) {
            floats.put(0, image.read(0, y, image.width(), 1, row));
            out.write(bytes.array());
            if (stage != null) {
                stage.advance(1);
            }
        }
    }

    /** Fills an image with texels and returns it. */
    static FloatImage fill(FloatImage inoutImage, Task.@Nullable Stage stage, DataInputStream in) throws IOException {
        float[] row = new float[inoutImage.width() * inoutImage.channels()];
        ByteBuffer bytes = ByteBuffer.allocate(row.length * Float.BYTES);
        FloatBuffer floats = bytes.asFloatBuffer();
        for (int y = 0; y < inoutImage.height(); y++) {
            in.readFully(bytes.array());
            floats.get(0, row);
            inoutImage.write(0, y, inoutImage.width(), 1, row);
            if (stage != null) {
                stage.advance(1);
            }
        }
        return inoutImage;
    }
}
