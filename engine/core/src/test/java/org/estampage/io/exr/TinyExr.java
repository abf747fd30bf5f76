package org.estampage.io.exr;

import static org.assertj.core.api.Assertions.assertThat;
import static org.lwjgl.util.tinyexr.TinyEXR.FreeEXRHeader;
import static org.lwjgl.util.tinyexr.TinyEXR.FreeEXRImage;
import static org.lwjgl.util.tinyexr.TinyEXR.InitEXRHeader;
import static org.lwjgl.util.tinyexr.TinyEXR.InitEXRImage;
import static org.lwjgl.util.tinyexr.TinyEXR.LoadEXRImageFromMemory;
import static org.lwjgl.util.tinyexr.TinyEXR.ParseEXRHeaderFromMemory;
import static org.lwjgl.util.tinyexr.TinyEXR.ParseEXRVersionFromMemory;
import static org.lwjgl.util.tinyexr.TinyEXR.SaveEXRImageToFile;

import java.nio.ByteBuffer;
import java.nio.ByteOrder;
import java.nio.IntBuffer;
import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import org.lwjgl.PointerBuffer;
import org.lwjgl.system.MemoryStack;
import org.lwjgl.system.MemoryUtil;
import org.lwjgl.util.tinyexr.EXRChannelInfo;
import org.lwjgl.util.tinyexr.EXRHeader;
import org.lwjgl.util.tinyexr.EXRImage;
import org.lwjgl.util.tinyexr.EXRVersion;

/** An independent reader and writer of the format: tinyexr, native. */
final class TinyExr {
    private TinyExr() {
    }

    /** Returns each channel's samples by its name, as they are stored: two bytes each of half, four of others. */
    static Map<String, byte[]> read(byte[] file) {
        ByteBuffer bytes = MemoryUtil.memAlloc(file.length).put(file).flip();
        try (MemoryStack stack = MemoryStack.stackPush()) {
            PointerBuffer error = stack.mallocPointer(1);
            EXRVersion version = EXRVersion.malloc(stack);
            EXRHeader header = EXRHeader.malloc(stack);
            EXRImage image = EXRImage.malloc(stack);
            InitEXRHeader(header);
            InitEXRImage(image);
            assertThat(ParseEXRVersionFromMemory(version, bytes)).isZero();
            assertThat(ParseEXRHeaderFromMemory(header, version, bytes, error)).as(() -> error.getStringUTF8(0)).isZero();
            IntBuffer types = header.pixel_types();
            for (int c = 0; c < header.num_channels(); c++) {
                header.requested_pixel_types().put(c, types.get(c));
            }
            assertThat(LoadEXRImageFromMemory(image, header, bytes, error)).as(() -> error.getStringUTF8(0)).isZero();
            Map<String, byte[]> channels = new LinkedHashMap<>();
            for (int c = 0; c < header.num_channels(); c++) {
                int size = image.width() * image.height() * (types.get(c) == 1 ? 2 : 4);
                byte[] samples = new byte[size];
                Objects.requireNonNull(image.images()).getByteBuffer(c, size).get(samples);
                channels.put(header.channels().get(c).nameString(), samples);
            }
            FreeEXRImage(image);
            FreeEXRHeader(header);
            return channels;
        } finally {
            MemoryUtil.memFree(bytes);
        }
    }

    /** Writes channels of one type (0 whole numbers, 1 half, 2 float), given in the order of their names, four bytes a sample. */
    static void write(Path file, int width, int height, List<String> names, int[][] samples, int type, int compression) {
        try (MemoryStack stack = MemoryStack.stackPush()) {
            int count = names.size();
            PointerBuffer error = stack.mallocPointer(1);
            EXRHeader header = EXRHeader.calloc(stack);
            EXRImage image = EXRImage.calloc(stack);
            InitEXRHeader(header);
            InitEXRImage(image);
            EXRChannelInfo.Buffer infos = EXRChannelInfo.calloc(count, stack);
            PointerBuffer planes = stack.mallocPointer(count);
            IntBuffer given = stack.mallocInt(count);
            IntBuffer stored = stack.mallocInt(count);
            for (int c = 0; c < count; c++) {
                ByteBuffer name = stack.calloc(256);
                infos.get(c).name(name.put(names.get(c).getBytes(StandardCharsets.UTF_8)).rewind());
                ByteBuffer plane = stack.malloc(4 * width * height).order(ByteOrder.nativeOrder());
                plane.asIntBuffer().put(samples[c]);
                planes.put(c, plane);
                given.put(c, type == 0 ? 0 : 2);
                stored.put(c, type);
            }
            header.num_channels(count).channels(infos).pixel_types(given).requested_pixel_types(stored).compression_type(compression);
            image.num_channels(count).images(planes).width(width).height(height);
            assertThat(SaveEXRImageToFile(image, header, file.toString(), error)).as(() -> error.getStringUTF8(0)).isZero();
        }
    }
}
