package org.estampage.material;

import java.util.ArrayList;
import java.util.List;
import java.util.Objects;
import java.util.function.Function;
import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.image.ImageSource;
import org.estampage.image.Range;
import org.estampage.task.Task;
import org.jspecify.annotations.Nullable;

/**
 * Several channels as one image: red first, then green, blue, alpha. Raw values stay as they are, and each channel keeps the range of its own encoding, so that
 * a file stores it as it would alone.
 *
 * @threads immutable
 */
public final class ChannelPack implements ImageSource {
    private static final int MOST = 4;

    /** One channel: of an image, or the same value everywhere. */
    private record Channel(String name, @Nullable FloatImage image, int component, float value) {
        Range range() {
            return image == null ? Range.UNIT : image.encoding().ranges().get(component);
        }

        boolean isColour() {
            return image != null && image.encoding().kind() == Encoding.Kind.COLOUR && component < 3;
        }
    }

    private final List<Channel> channels;
    private final Encoding.Kind kind;
    private final boolean linear;
    private final int width;
    private final int height;
    private final Task task;

    private ChannelPack(List<Channel> channels, Encoding.Kind kind, boolean linear, int width, int height, Task task) {
        this.channels = channels;
        this.kind = kind;
        this.linear = linear;
        this.width = width;
        this.height = height;
        this.task = task;
    }

    /** Starts with no channel. */
    public static ChannelPack create() {
        return new ChannelPack(List.of(), Encoding.Kind.DATA, false, 0, 0, Task.silent());
    }

    /** Returns occlusion in red, roughness in green and metal in blue, as glTF 2.0 reads them. */
    public static ChannelPack occlusionRoughnessMetal(ImageSource occlusion, ImageSource roughness, ImageSource metal) {
        return create().add("occlusion", occlusion).add("roughness", roughness).add("metal", metal);
    }

    /** Returns roughness in green and metal in blue, as glTF 2.0 reads them; red, which it does not read, is 1. */
    public static ChannelPack roughnessMetal(ImageSource roughness, ImageSource metal) {
        return create().add("nothing", 1).add("roughness", roughness).add("metal", metal);
    }

    /**
     * Returns colour in red, green and blue, and opacity in alpha: an image of colour.
     *
     * @throws IllegalArgumentException if the colour is not COLOUR of 3 or 4 channels, or opacity has several channels
     */
    public static ChannelPack colourAndOpacity(ImageSource colour, ImageSource opacity) {
        FloatImage rgb = colour.build();
        if (rgb.encoding().kind() != Encoding.Kind.COLOUR || rgb.channels() < 3) {
            throw new IllegalArgumentException("colour: the image is " + rgb.encoding().kind() + " of " + rgb.channels()
                    + " channels, it must be COLOUR of 3 or 4");
        }
        ChannelPack pack = new ChannelPack(List.of(), Encoding.Kind.COLOUR, false, 0, 0, Task.silent());
        return pack.add("red", rgb, 0).add("green", rgb, 1).add("blue", rgb, 2).add("opacity", opacity);
    }

    /**
     * Returns the pack with an image as the next channel.
     *
     * @param name what the channel holds, in lower case
     * @throws IllegalArgumentException if the image has several channels or another size than the first one's, the name is blank or there already, or there are 4 channels
     */
    public ChannelPack add(String name, ImageSource image) {
        return add(name, Rows.single(name, image.build()), 0);
    }

    /**
     * Returns the pack with one of an image's channels as the next channel.
     *
     * @param component the image's channel, from 0
     * @throws IllegalArgumentException if the image does not have that channel or has another size than the first one's, the name is blank or there already, or
     *                                  there are 4 channels
     */
    public ChannelPack add(String name, ImageSource image, int component) {
        FloatImage built = image.build();
        if (component < 0 || component >= built.channels()) {
            throw new IllegalArgumentException(name + ": channel " + component + " must be 0 … " + (built.channels() - 1));
        }
        if (width > 0) {
            Rows.requireSize(name, built, width, height);
        }
        return with(new Channel(name, built, component, 0), built.width(), built.height());
    }

    /**
     * Returns the pack with the same value everywhere as the next channel, stored as it is.
     *
     * @throws IllegalArgumentException if the value is not 0 … 1, the name is blank or there already, or there are 4 channels
     */
    public ChannelPack add(String name, double value) {
        return with(new Channel(name, null, 0, (float) Rows.between(name, value, 0, 1)), width, height);
    }

    private ChannelPack with(Channel channel, int w, int h) {
        if (channel.name.isBlank() || names().contains(channel.name)) {
            throw new IllegalArgumentException("name = \"" + channel.name + "\" must not be blank, nor there already: " + names());
        }
        if (channels.size() == MOST) {
            throw new IllegalArgumentException(channel.name + ": there are 4 channels already: " + names());
        }
        List<Channel> more = new ArrayList<>(channels);
        more.add(channel);
        return new ChannelPack(List.copyOf(more), kind, linear, w, h, task);
    }

    /** Returns the pack with colours allowed among data: they are stored as linear values, without the sRGB curve. */
    public ChannelPack linearColour() {
        return new ChannelPack(channels, kind, true, width, height, task);
    }

    /** Returns the pack with who hears of progress and can cancel, and how much memory the result may take before it goes to a temporary file. */
    public ChannelPack task(Task value) {
        return new ChannelPack(channels, kind, linear, width, height, Objects.requireNonNull(value, "value"));
    }

    /** Returns the channels' names in their order. */
    public List<String> names() {
        return channels.stream().map(Channel::name).toList();
    }

    /** Returns the channels' names joined by hyphens, as a file's name may have them: {@code occlusion-roughness-metal}. */
    public String label() {
        return String.join("-", names());
    }

    /**
     * Returns the image.
     *
     * @cost linear in time; the result
     * @throws IllegalArgumentException                   if there is no image, or a channel is colour in a pack of data: an integer file stores the one with the sRGB curve and the
     *                                                    other without
     * @throws java.util.concurrent.CancellationException if the task was cancelled
     */
    @Override
    public FloatImage build() {
        if (width == 0) {
            throw new IllegalArgumentException("channels " + names() + " must include an image");
        }
        List<String> colours = channels.stream().filter(Channel::isColour).map(Channel::name).toList();
        if (kind == Encoding.Kind.DATA && !linear && !colours.isEmpty()) {
            throw new IllegalArgumentException("channels " + colours
                    + " are colour, which has no place among data: linearColour() stores them without the sRGB curve; colour with opacity is colourAndOpacity");
        }
        FloatImage result = FloatImage.create(width, height, new Encoding(kind, each(Channel::range)), task.memory());
        int count = channels.size();
        Rows.each(task, "packing channels", height, y -> {
            float[] row = new float[width * count];
            for (int c = 0; c < count; c++) {
                fill(channels.get(c), y, row, c, count);
            }
            Rows.write(result, y, row);
        });
        return result;
    }

    private <T> List<T> each(Function<Channel, T> of) {
        return channels.stream().map(of).toList();
    }

    private static void fill(Channel channel, int y, float[] row, int c, int count) {
        FloatImage image = channel.image;
        float[] from = image == null ? new float[0] : Rows.read(image, y);
        for (int x = 0; x < row.length / count; x++) {
            row[x * count + c] = image == null ? channel.value : from[x * image.channels() + channel.component];
        }
    }

    @Override
    public String toString() {
        return label() + ", " + width + " × " + height + "; build() or save makes the image";
    }
}
