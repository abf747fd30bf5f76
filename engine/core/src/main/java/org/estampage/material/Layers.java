package org.estampage.material;

import java.util.ArrayList;
import java.util.List;
import java.util.Objects;
import java.util.function.Function;
import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.image.ImageSource;
import org.estampage.task.Task;

/**
 * Materials on top of each other: a ground, and layers that masks let appear. Colours mix in linear light, roughness, metal, heights and occlusion in
 * proportion; a layer's relief is laid over as much of the one below as it leaves, and all over the baked normals, reoriented.
 *
 * @threads confined; {@link #build} runs in the caller's fork-join pool, else in the common one, with the same values for any number of threads
 */
public final class Layers {
    /** A layer, where it is, and how much of the relief below it takes away. */
    private record Layer(LayerMaterial material, FloatImage mask, double fill) {
    }

    private final FloatImage baked;
    private final LayerMaterial ground;
    private final List<Layer> layers = new ArrayList<>();
    private final List<FloatImage> occlusions = new ArrayList<>();
    private double inColour;
    private Task task = Task.silent();

    private Layers(FloatImage baked, LayerMaterial ground) {
        this.baked = baked;
        this.ground = ground;
    }

    /**
     * Starts with a ground on a surface.
     *
     * @param bakedNormal the surface's tangent-space normals; all images have their size
     * @throws IllegalArgumentException if the image does not hold normals
     */
    public static Layers on(ImageSource bakedNormal, LayerMaterial ground) {
        return new Layers(Rows.normals("bakedNormal", bakedNormal.build()), Objects.requireNonNull(ground, "ground"));
    }

    /**
     * Adds a layer on top, which hides the relief below as far as it covers it.
     *
     * @param mask one channel of the baked normals' size: 0 where the layer is absent, 1 where it covers
     * @throws IllegalArgumentException if the mask has several channels or another size
     */
    public Layers add(LayerMaterial material, ImageSource mask) {
        return add(material, mask, 1);
    }

    /**
     * Adds a layer on top.
     *
     * @param mask one channel of the baked normals' size: 0 where the layer is absent, 1 where it covers
     * @param fill how much of the relief below the layer takes away where it covers: 1 all, as thick paint, 0 nothing, as a stain
     * @throws IllegalArgumentException if the mask has several channels or another size, or {@code fill} is not 0 … 1
     */
    public Layers add(LayerMaterial material, ImageSource mask, double fill) {
        FloatImage built = Rows.single("mask", mask.build());
        Rows.requireSize("mask", built, baked.width(), baked.height());
        layers.add(new Layer(Objects.requireNonNull(material, "material"), built, Rows.between("fill", fill, 0, 1)));
        return this;
    }

    /**
     * Multiplies an occlusion into the material's: the baked one, and others.
     *
     * @throws IllegalArgumentException if it has several channels or another size
     */
    public Layers occlusion(ImageSource image) {
        FloatImage built = Rows.single("occlusion", image.build());
        Rows.requireSize("occlusion", built, baked.width(), baked.height());
        occlusions.add(built);
        return this;
    }

    /**
     * Darkens the base colour by the occlusion, for renderers that have no use for it otherwise. Where one reads the occlusion, too, it counts twice.
     *
     * @param strength 0 not at all, 1 fully
     * @throws IllegalArgumentException if it is not 0 … 1
     */
    public Layers occlusionInColour(double strength) {
        inColour = Rows.between("occlusionInColour", strength, 0, 1);
        return this;
    }

    /** Sets who hears of progress and can cancel, and how much memory images may take before they go to temporary files. */
    public Layers task(Task value) {
        task = Objects.requireNonNull(value, "value");
        return this;
    }

    /**
     * Returns the images.
     *
     * @cost linear in time; the results, and one image of a layer at a time
     * @throws IllegalArgumentException                   if an image has the wrong kind or number of channels
     * @throws java.util.concurrent.CancellationException if the task was cancelled
     */
    public Finish build() {
        return task.recalled(Finish.class, this, this::mixed);
    }

    private Finish mixed() {
        FloatImage roughness = mixed("roughness", LayerMaterial::roughness, Encoding.Kind.DATA, 1);
        FloatImage metal = mixed("metal", LayerMaterial::metal, Encoding.Kind.DATA, 1);
        FloatImage height = mixed("height", LayerMaterial::height, Encoding.Kind.DATA, 1);
        FloatImage occlusion = mixed("occlusion", LayerMaterial::occlusion, Encoding.Kind.DATA, 1);
        for (FloatImage more : occlusions) {
            multiply(occlusion, more, 1);
        }
        FloatImage colour = mixed("baseColour", LayerMaterial::baseColour, Encoding.Kind.COLOUR, 3);
        if (inColour > 0) {
            multiply(colour, occlusion, (float) inColour);
        }
        return new Finish(colour, roughness, metal, normals(), height, occlusion);
    }

    private FloatImage image(String name, ImageSource source, Encoding.Kind kind, int channels) {
        FloatImage image = Rows.sized(source, baked.width(), baked.height(), task);
        if (image.encoding().kind() != kind || image.channels() != channels) {
            throw new IllegalArgumentException(
                    name + ": the image is " + image.encoding().kind() + " of " + image.channels() + " channels, it must be "
                            + kind + " of " + channels);
        }
        return image;
    }

    /** Returns one of the ground's images with the layers' ones over it in proportion to their masks. */
    private FloatImage mixed(String name, Function<LayerMaterial, ImageSource> of, Encoding.Kind kind, int channels) {
        FloatImage below = image(name, of.apply(ground), kind, channels);
        FloatImage result = FloatImage.create(below.width(), below.height(), below.encoding(), task.memory());
        Rows.each(task, name, result.height(), y -> Rows.write(result, y, Rows.read(below, y)));
        for (Layer layer : layers) {
            FloatImage above = image(name, of.apply(layer.material), kind, channels);
            Rows.each(task, name, result.height(), y -> {
                float[] row = Rows.read(result, y), over = Rows.read(above, y), mask = Rows.read(layer.mask, y);
                for (int i = 0; i < row.length; i++) {
                    row[i] += share(mask[i / channels]) * (over[i] - row[i]);
                }
                Rows.write(result, y, row);
            });
        }
        return result;
    }

    private static float share(float mask) {
        return mask > 0 ? Math.min(1, mask) : 0; // not a number is nothing
    }

    private void multiply(FloatImage inout, FloatImage by, float strength) {
        int channels = inout.channels();
        Rows.each(task, "occlusion", inout.height(), y -> {
            float[] row = Rows.read(inout, y), factor = Rows.read(by, y);
            for (int i = 0; i < row.length; i++) {
                row[i] *= 1 + strength * (share(factor[i / channels]) - 1);
            }
            Rows.write(inout, y, row);
        });
    }

    private FloatImage normals() {
        FloatImage result = FloatImage.create(baked.width(), baked.height(), baked.encoding(), task.memory());
        FloatImage below = image("normal", ground.normal(), Encoding.Kind.NORMAL, 3);
        Rows.each(task, "relief", result.height(), y -> Rows.write(result, y, unit(below, y)));
        for (Layer layer : layers) {
            FloatImage above = image("normal", layer.material.normal(), Encoding.Kind.NORMAL, 3);
            Rows.each(task, "relief", result.height(), y -> {
                float[] under = Rows.read(result, y), over = unit(above, y), mask = Rows.read(layer.mask, y), left = new float[mask.length];
                for (int x = 0; x < mask.length; x++) {
                    mask[x] = share(mask[x]);
                    left[x] = 1 - (float) layer.fill * mask[x];
                }
                NormalRows.scaleSlopes(under, 1, left);
                NormalRows.scaleSlopes(over, 1, mask);
                Rows.write(result, y, laid(under, over));
            });
        }
        Rows.each(task, "relief", result.height(), y -> Rows.write(result, y, laid(unit(baked, y), Rows.read(result, y))));
        return result;
    }

    private static float[] unit(FloatImage image, int y) {
        float[] row = Rows.read(image, y);
        NormalRows.unit(row);
        return row;
    }

    private static float[] laid(float[] base, float[] detail) {
        float[] dest = new float[base.length];
        NormalRows.lay(NormalMethod.REORIENTED, base, detail, dest);
        return dest;
    }

    @Override
    public String toString() {
        return layers.size() + " layers on a ground; build() makes the images";
    }
}
