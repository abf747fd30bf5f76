package org.estampage.io.png;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import org.estampage.image.FloatImage;
import org.estampage.io.format.FormatException;
import org.estampage.io.format.SampleFormat;
import org.estampage.io.format.StoredImage;
import org.estampage.io.shared.DecodedImage;

/**
 * Reads PNG files through the JDK, value by value: stored number / (2ⁿ − 1), without any colour conversion.
 *
 * @edge palette files give the palette's colours; a file's one transparent colour becomes an alpha channel; grey of 1, 2 and 4 bits is told as
 *       8 bits
 * @threads safe for concurrent calls
 */
public final class PngReader {
    private PngReader() {
    }

    /**
     * Reads a file.
     *
     * @throws FormatException if the file is not PNG, or is cut off or damaged
     * @throws IOException     if it can't be read
     */
    public static StoredImage read(Path file) throws IOException {
        String name = String.valueOf(file.getFileName());
        byte[] bytes = Files.readAllBytes(file);
        if (!PngLayout.recognises(bytes)) {
            throw FormatException.ofFile(name,
                    "does not begin as a PNG file does: export it again as PNG, or give it the ending of what it is");
        }
        PngLayout layout = PngLayout.of(name, bytes);
        // Grey of 1, 2 and 4 bits arrives with a palette of greys; its indices are the samples.
        FloatImage image = DecodedImage.floats(DecodedImage.of("png", name, bytes, texels -> true), !layout.isPlainGrey());
        return new StoredImage(image, layout.bits() == 16 ? SampleFormat.UNSIGNED_16 : SampleFormat.UNSIGNED_8, layout.texts());
    }
}
