package org.estampage.console;

import java.awt.image.BufferedImage;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Collection;
import java.util.List;
import java.util.Optional;
import org.estampage.bake.BakeResult;
import org.estampage.bake.BakedMap;
import org.estampage.bake.BakedTile;
import org.estampage.bake.SurfaceMap;
import org.estampage.cage.Cage;
import org.estampage.cage.CageCheck;
import org.estampage.cage.CagePicture;
import org.estampage.cage.CageSource;
import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.image.ImageSource;
import org.estampage.image.Mask;
import org.estampage.image.Range;
import org.estampage.io.ImageFiles;
import org.estampage.material.Finish;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.MeshSource;
import org.estampage.preview.Comparison;
import org.estampage.preview.Preview;

/** What {@code show} makes of a value: one picture in the values of screens, and a line that says what it is. */
final class Pictures {
    /** Largest side of a picture: more than screens show at once. */
    private static final int LARGEST = 2048;
    /** Side of one picture of several. */
    private static final int EACH = 512;
    private static final int GAP = 8;
    private static final int RENDER = 768;
    private static final int BACKGROUND = 0x202428;
    /** The side of a checker field behind what is transparent. */
    private static final int CHECKER = 8;

    private Pictures() {
    }

    /**
     * A picture to show.
     *
     * @param image in the values of screens
     * @param name  the beginning of a file's name
     * @param text  what it shows, for people
     */
    record Picture(BufferedImage image, String name, String text) {
    }

    /**
     * Returns the picture of a value.
     *
     * @throws IllegalArgumentException if it is nothing that can be seen; the message says what can
     */
    static Picture of(Object value, Session session) throws java.io.IOException {
        return switch (value) {
            case BakeResult result -> sheet(maps(result), result.job().low().name());
            case BakedTile tile -> sheet(named(tile.maps(), ""), "tile-" + tile.number());
            case BakedMap map -> one(map.image(), map.name());
            case Comparison comparison -> one(comparison.picture(), "angles");
            case Finish finish -> sheet(finish(finish), "finish");
            case ImageSource source -> one(source.build(), source instanceof Preview ? "preview" : "image");
            case Mask mask -> one(image(mask), "mask");
            case CageSource source -> cage(session.present(source).build(), session);
            case MeshSource source -> mesh(source.build(), session);
            case Collection<?> all -> all(all);
            case Path path -> one(ImageFiles.read(session.resolve(path.toString())), path.getFileName().toString());
            case String path -> one(ImageFiles.read(session.resolve(path)), String.valueOf(session.resolve(path).getFileName()));
            case Optional<?> optional -> of(optional.orElseThrow(() -> new IllegalArgumentException("there is nothing to show")), session);
            case SurfaceMap map -> throw new IllegalArgumentException("the map " + map.name()
                    + " is only described; show(bake(low, high).maps(…).run()) shows what is baked");
            case BakeCall call ->
                throw new IllegalArgumentException("this bake is only described; .run() carries it out, and show(…) takes what it gives");
            default -> throw new IllegalArgumentException("value = " + Shown.line(value)
                    + " is nothing to see; show(…) takes meshes, cages, images, what run() of bake, preview and compare gives, or an image file's path");
        };
    }

    /** An image with a name. */
    private record Named(String name, FloatImage image) {
    }

    private static List<Named> maps(BakeResult result) {
        List<Named> maps = new ArrayList<>();
        for (BakedTile tile : result.tiles()) {
            maps.addAll(named(tile.maps(), result.tiles().size() > 1 ? "." + tile.number() : ""));
        }
        return maps;
    }

    private static List<Named> named(List<BakedMap> maps, String suffix) {
        return maps.stream().map(map -> new Named(map.name() + suffix, map.image())).toList();
    }

    private static List<Named> finish(Finish finish) {
        return List.of(new Named("base colour", finish.baseColour()), new Named("roughness", finish.roughness()),
                new Named("metal", finish.metal()), new Named("normal", finish.normal()), new Named("height", finish.height()));
    }

    private static Picture all(Collection<?> all) {
        List<Named> images = new ArrayList<>();
        for (Object entry : all) {
            switch (entry) {
                case ImageSource source -> images.add(new Named(Integer.toString(images.size()), source.build()));
                case BakedMap map -> images.add(new Named(map.name(), map.image()));
                default -> throw new IllegalArgumentException(
                        "a list is shown if it holds images; this one holds " + Shown.line(entry) + ": show(list.get(0)) shows one");
            }
        }
        if (images.isEmpty()) {
            throw new IllegalArgumentException("the list is empty: there is nothing to show");
        }
        return sheet(images, "images");
    }

    private static Picture mesh(Mesh mesh, Session session) {
        FloatImage lit = Preview.of(mesh).tracers(session::tracer).size(RENDER).task(session.task()).run();
        String uvs = mesh.uvSets().isEmpty() ? "" : "; show(uvPicture(…)) draws its UVs";
        return new Picture(screen(lit, LARGEST), mesh.name(), Shown.line(mesh) + uvs);
    }

    private static Picture cage(Cage cage, Session session) {
        FloatImage drawn = CagePicture.draw(cage.low(), cage.low(), cage, EACH, CageCheck.SLANT_LIMIT, session.task());
        return new Picture(screen(drawn, LARGEST), "cage",
                Shown.line(cage) + ", here around the low poly alone; show(cagePicture(low, high, c)) draws it around the high poly");
    }

    private static Picture one(FloatImage image, String name) {
        return new Picture(screen(image, LARGEST), name, Shown.line(image));
    }

    private static FloatImage image(Mask mask) {
        FloatImage image = FloatImage.create(mask.width(), mask.height(), Encoding.data(Range.UNIT, 1));
        for (int y = 0; y < mask.height(); y++) {
            for (int x = 0; x < mask.width(); x++) {
                image.set(x, y, 0, mask.get(x, y) ? 1 : 0);
            }
        }
        return image;
    }

    /** Returns several pictures side by side, row by row, as nearly square as they can be. */
    private static Picture sheet(List<Named> images, String name) {
        if (images.size() == 1) {
            Named only = images.getFirst();
            return one(only.image, only.name);
        }
        int columns = (int) Math.ceil(Math.sqrt(images.size()));
        int rows = (images.size() + columns - 1) / columns;
        List<BufferedImage> parts = images.stream().map(image -> screen(image.image, EACH)).toList();
        int cellWidth = parts.stream().mapToInt(BufferedImage::getWidth).max().orElseThrow();
        int cellHeight = parts.stream().mapToInt(BufferedImage::getHeight).max().orElseThrow();
        BufferedImage sheet = new BufferedImage(columns * (cellWidth + GAP) - GAP, rows * (cellHeight + GAP) - GAP,
                BufferedImage.TYPE_INT_RGB);
        for (int y = 0; y < sheet.getHeight(); y++) {
            for (int x = 0; x < sheet.getWidth(); x++) {
                sheet.setRGB(x, y, BACKGROUND);
            }
        }
        StringBuilder text = new StringBuilder();
        for (int i = 0; i < parts.size(); i++) {
            BufferedImage part = parts.get(i);
            int[] pixels = part.getRGB(0, 0, part.getWidth(), part.getHeight(), null, 0, part.getWidth());
            sheet.setRGB(i % columns * (cellWidth + GAP), i / columns * (cellHeight + GAP), part.getWidth(), part.getHeight(), pixels, 0,
                    part.getWidth());
            text.append(i == 0 ? "" : i % columns == 0 ? " | " : ", ").append(images.get(i).name);
        }
        return new Picture(sheet, name, text.toString());
    }

    /**
     * Returns an image as screens show it: data over its range, normals as they are stored, colours with the sRGB curve, identifiers each in a colour of
     * its own.
     *
     * @param largest the longer side at most; a larger image is averaged, one of identifiers is thinned out
     */
    static BufferedImage screen(FloatImage image, int largest) {
        int step = Math.max(1, (Math.max(image.width(), image.height()) + largest - 1) / largest);
        int width = Math.max(1, image.width() / step), height = Math.max(1, image.height() / step);
        boolean identifiers = image.encoding().kind() == Encoding.Kind.ID;
        int channels = image.channels();
        BufferedImage screen = new BufferedImage(width, height, BufferedImage.TYPE_INT_RGB);
        float[] rows = new float[image.width() * Math.min(step, image.height()) * channels];
        float[] texel = new float[channels];
        for (int y = 0; y < height; y++) {
            int rowCount = Math.min(step, image.height() - y * step);
            image.read(0, y * step, image.width(), rowCount, rows);
            for (int x = 0; x < width; x++) {
                for (int c = 0; c < channels; c++) {
                    float raw = identifiers
                            ? rows[x * step * channels + c]
                            : mean(rows, image.width(), channels, x * step, Math.min(step, image.width() - x * step), rowCount, c);
                    texel[c] = Float.isNaN(raw) ? 0 : image.encoding().store(c, raw);
                }
                screen.setRGB(x, y, rgb(texel, image.encoding(), (x / CHECKER + y / CHECKER) % 2 == 0));
            }
        }
        return screen;
    }

    private static float mean(float[] rows, int width, int channels, int left, int across, int down, int channel) {
        double sum = 0;
        int finite = 0;
        for (int y = 0; y < down; y++) {
            for (int x = left; x < left + across; x++) {
                float value = rows[(y * width + x) * channels + channel];
                if (Float.isFinite(value)) {
                    sum += value;
                    finite++;
                }
            }
        }
        return finite == 0 ? Float.NaN : (float) (sum / finite);
    }

    private static int rgb(float[] stored, Encoding encoding, boolean lightField) {
        if (stored.length == 1 && encoding.kind() == Encoding.Kind.ID) {
            return palette(Math.round(stored[0] * 255));
        }
        int r = eight(stored[0]);
        if (stored.length == 1) {
            return (r << 16) | (r << 8) | r;
        }
        int g = eight(stored[1]), b = stored.length > 2 ? eight(stored[2]) : 0;
        if (stored.length < 4 || encoding.kind() != Encoding.Kind.COLOUR) {
            return (r << 16) | (g << 8) | b;
        }
        int behind = lightField ? 0xa0 : 0x60;
        float alpha = Math.clamp(stored[3], 0, 1);
        return (over(r, behind, alpha) << 16) | (over(g, behind, alpha) << 8) | over(b, behind, alpha);
    }

    private static int over(int value, int behind, float alpha) {
        return Math.round(value * alpha + behind * (1 - alpha));
    }

    private static int eight(float stored) {
        return Math.round(Math.clamp(stored, 0, 1) * 255);
    }

    /** Returns a colour for a number: neighbours differ by the golden angle in hue; 0 is black. */
    static int palette(int number) {
        return number == 0 ? 0 : java.awt.Color.HSBtoRGB(number * 0.618034f, 0.65f, number % 2 == 0 ? 0.75f : 0.95f) & 0xffffff;
    }

    /** Returns a picture at another size: averaged where it becomes smaller, its pixels repeated where it becomes larger. */
    static BufferedImage scaled(BufferedImage image, int width, int height) {
        BufferedImage scaled = new BufferedImage(width, height, BufferedImage.TYPE_INT_RGB);
        for (int y = 0; y < height; y++) {
            int top = (int) ((long) y * image.getHeight() / height);
            int bottom = Math.max(top + 1, (int) ((long) (y + 1) * image.getHeight() / height));
            for (int x = 0; x < width; x++) {
                int left = (int) ((long) x * image.getWidth() / width);
                int right = Math.max(left + 1, (int) ((long) (x + 1) * image.getWidth() / width));
                scaled.setRGB(x, y, mean(image, left, top, right, bottom));
            }
        }
        return scaled;
    }

    private static int mean(BufferedImage image, int left, int top, int right, int bottom) {
        long r = 0, g = 0, b = 0;
        for (int y = top; y < bottom; y++) {
            for (int x = left; x < right; x++) {
                int rgb = image.getRGB(x, y);
                r += (rgb >> 16) & 0xff;
                g += (rgb >> 8) & 0xff;
                b += rgb & 0xff;
            }
        }
        long n = (long) (right - left) * (bottom - top);
        return (int) ((((r + n / 2) / n) << 16) | (((g + n / 2) / n) << 8) | ((b + n / 2) / n));
    }
}
