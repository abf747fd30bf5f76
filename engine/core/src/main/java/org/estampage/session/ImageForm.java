package org.estampage.session;

import java.io.IOException;
import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;

/** An image as bytes: its size, its encoding, its raw values row by row. */
final class ImageForm {
    private ImageForm() {
    }

    static void write(FloatImage image, ValueOut values) throws IOException {
        ByteOut out = values.bytes();
        out.putInt(image.width());
        out.putInt(image.height());
        values.put(image.encoding());
        float[] row = new float[image.width() * image.channels()];
        for (int y = 0; y < image.height(); y++) {
            out.putFloats(image.read(0, y, image.width(), 1, row), row.length);
        }
    }

    static FloatImage read(ValueIn values) throws IOException {
        ByteIn in = values.bytes();
        int width = in.getInt();
        int height = in.getInt();
        Encoding encoding = values.get(Encoding.class);
        in.requireLeft((long) width * height * encoding.channels() * Float.BYTES);
        FloatImage image = FloatImage.create(width, height, encoding, values.memory());
        float[] row = new float[width * encoding.channels()];
        for (int y = 0; y < height; y++) {
            in.getFloats(row, row.length);
            image.write(0, y, width, 1, row);
        }
        return image;
    }
}
