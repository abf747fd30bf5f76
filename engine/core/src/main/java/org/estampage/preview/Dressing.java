package org.estampage.preview;

import java.util.EnumMap;
import java.util.Map;
import java.util.Objects;
import java.util.Optional;
import java.util.SortedMap;
import java.util.TreeMap;
import org.estampage.bake.BakeResult;
import org.estampage.bake.BakedMap;
import org.estampage.bake.BakedTile;
import org.estampage.bake.FrameRule;
import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.material.Finish;
import org.estampage.raster.UvTile;

/**
 * What a mesh wears in a picture: images through its first UV set, and numbers where there is no image.
 *
 * <p>The material is the metal and roughness one of glTF 2.0: base colour, roughness, metal, occlusion of the light from all around, and normals in the
 * tangent frame. An image that is not of one UDIM tile is repeated in all unit squares.
 *
 * @threads immutable, as long as nobody writes the images
 */
public final class Dressing {
    /** A base colour as light as primer. */
    private static final float GREY = 0.42f;
    /** Half way: broad highlights that show the shape. */
    private static final float HALF_ROUGH = 0.5f;

    /** What an image is for. */
    enum Slot {
        NORMAL, BASE_COLOUR, OCCLUSION, ROUGHNESS, METAL
    }

    /** One channel of an image, or three from it on. */
    record Source(FloatImage image, int channel) {
    }

    private final Map<Slot, SortedMap<UvTile, Source>> tiles;
    private final Map<Slot, Source> everywhere;
    private final float red;
    private final float green;
    private final float blue;
    private final float roughness;
    private final float metal;
    private final boolean vertexColours;
    private final FrameRule frame;

    private Dressing(Map<Slot, SortedMap<UvTile, Source>> tiles, Map<Slot, Source> everywhere, float red, float green, float blue,
            float roughness, float metal, boolean vertexColours, FrameRule frame) {
        this.tiles = tiles;
        this.everywhere = everywhere;
        this.red = red;
        this.green = green;
        this.blue = blue;
        this.roughness = roughness;
        this.metal = metal;
        this.vertexColours = vertexColours;
        this.frame = frame;
    }

    /** Returns a dressing without images: grey, half rough, not metal. */
    public static Dressing bare() {
        return new Dressing(new EnumMap<>(Slot.class), new EnumMap<>(Slot.class), GREY, GREY, GREY, HALF_ROUGH, 0, false,
                FrameRule.AS_INTERPOLATED);
    }

    /**
     * Returns the dressing of a bake's maps by their names, as far as they were baked: {@code normal}, {@code colour} as the base colour,
     * {@code occlusion}, and maps of one's own called {@code roughness} and {@code metal}. The frame rule is the job's.
     */
    public static Dressing of(BakeResult result) {
        Dressing dressing = bare().frame(result.job().frameRule());
        for (BakedTile tile : result.tiles()) {
            Optional<UvTile> place = result.job().isUdim() ? Optional.of(tile.tile()) : Optional.empty();
            for (BakedMap map : tile.maps()) {
                dressing = switch (map.name()) {
                    case "normal" -> dressing.withNormals(place, map.image());
                    case "colour" -> dressing.withColours(place, map.image());
                    case "occlusion" -> dressing.withScalars(Slot.OCCLUSION, place, map.image());
                    case "roughness" -> dressing.withScalars(Slot.ROUGHNESS, place, map.image());
                    case "metal" -> dressing.withScalars(Slot.METAL, place, map.image());
                    default -> dressing;
                };
            }
        }
        return dressing;
    }

    /** Returns the dressing of a finished material; its height is not looked at. */
    public static Dressing of(Finish finish) {
        return bare().normal(finish.normal()).baseColour(finish.baseColour()).occlusion(finish.occlusion()).roughness(finish.roughness())
                .metal(finish.metal());
    }

    /**
     * Returns the dressing with tangent-space normals.
     *
     * @param image raw normals, green up, as a bake or {@code ImageFiles.readNormals} gives them
     * @throws IllegalArgumentException if the image does not hold normals
     */
    public Dressing normal(FloatImage image) {
        return withNormals(Optional.empty(), image);
    }

    /** Returns the dressing with tangent-space normals on one UDIM tile. Otherwise as {@link #normal(FloatImage)}. */
    public Dressing normal(UvTile tile, FloatImage image) {
        return withNormals(Optional.of(tile), image);
    }

    /**
     * Returns the dressing with this base colour.
     *
     * @param image linear colour, three or four channels; the fourth is not looked at
     * @throws IllegalArgumentException if the image holds normals or identifiers, or has fewer than three channels
     */
    public Dressing baseColour(FloatImage image) {
        return withColours(Optional.empty(), image);
    }

    /** Returns the dressing with this base colour on one UDIM tile. Otherwise as {@link #baseColour(FloatImage)}. */
    public Dressing baseColour(UvTile tile, FloatImage image) {
        return withColours(Optional.of(tile), image);
    }

    /**
     * Returns the dressing whose first channel of an image says how open the surface is to the light from all around: 1 is open. Without it rays ask.
     *
     * @throws IllegalArgumentException if the image holds normals or identifiers
     */
    public Dressing occlusion(FloatImage image) {
        return withScalars(Slot.OCCLUSION, Optional.empty(), image);
    }

    /** Returns the dressing with this occlusion on one UDIM tile. Otherwise as {@link #occlusion(FloatImage)}. */
    public Dressing occlusion(UvTile tile, FloatImage image) {
        return withScalars(Slot.OCCLUSION, Optional.of(tile), image);
    }

    /**
     * Returns the dressing with an image's first channel as roughness, 0 … 1.
     *
     * @throws IllegalArgumentException if the image holds normals or identifiers
     */
    public Dressing roughness(FloatImage image) {
        return withScalars(Slot.ROUGHNESS, Optional.empty(), image);
    }

    /** Returns the dressing with this roughness on one UDIM tile. Otherwise as {@link #roughness(FloatImage)}. */
    public Dressing roughness(UvTile tile, FloatImage image) {
        return withScalars(Slot.ROUGHNESS, Optional.of(tile), image);
    }

    /**
     * Returns the dressing with an image's first channel as metal: 1 is bare metal, 0 is not.
     *
     * @throws IllegalArgumentException if the image holds normals or identifiers
     */
    public Dressing metal(FloatImage image) {
        return withScalars(Slot.METAL, Optional.empty(), image);
    }

    /** Returns the dressing with this metal on one UDIM tile. Otherwise as {@link #metal(FloatImage)}. */
    public Dressing metal(UvTile tile, FloatImage image) {
        return withScalars(Slot.METAL, Optional.of(tile), image);
    }

    /**
     * Returns the dressing with occlusion, roughness and metal from one image's red, green and blue, as glTF 2.0 packs them.
     *
     * @throws IllegalArgumentException if the image holds normals or identifiers, or has fewer than three channels
     */
    public Dressing occlusionRoughnessMetal(FloatImage image) {
        return packed(Optional.empty(), image);
    }

    /** Returns the dressing with this packed image on one UDIM tile. Otherwise as {@link #occlusionRoughnessMetal(FloatImage)}. */
    public Dressing occlusionRoughnessMetal(UvTile tile, FloatImage image) {
        return packed(Optional.of(tile), image);
    }

    /**
     * Returns the dressing with this base colour where it has no image.
     *
     * @throws IllegalArgumentException if a part is not 0 … 1
     */
    public Dressing baseColour(double r, double g, double b) {
        return new Dressing(tiles, everywhere, unit("r", r), unit("g", g), unit("b", b), roughness, metal, vertexColours, frame);
    }

    /**
     * Returns the dressing with this roughness where it has no image.
     *
     * @throws IllegalArgumentException if it is not 0 … 1
     */
    public Dressing roughness(double value) {
        return new Dressing(tiles, everywhere, red, green, blue, unit("roughness", value), metal, vertexColours, frame);
    }

    /**
     * Returns the dressing with this much metal where it has no image.
     *
     * @throws IllegalArgumentException if it is not 0 … 1
     */
    public Dressing metal(double value) {
        return new Dressing(tiles, everywhere, red, green, blue, roughness, unit("metal", value), vertexColours, frame);
    }

    /** Returns the dressing whose base colour, where it has no image, is the mesh's first set of vertex colours, if it has one, taken as sRGB. */
    public Dressing vertexColours() {
        return new Dressing(tiles, everywhere, red, green, blue, roughness, metal, true, frame);
    }

    /** Returns the dressing whose normals are decoded by this rule of the tangent frame. */
    public Dressing frame(FrameRule rule) {
        return new Dressing(tiles, everywhere, red, green, blue, roughness, metal, vertexColours, Objects.requireNonNull(rule, "rule"));
    }

    private Dressing packed(Optional<UvTile> tile, FloatImage image) {
        atLeastThree("occlusionRoughnessMetal", image);
        return with(Slot.OCCLUSION, tile, scalars(Slot.OCCLUSION, image), 0).with(Slot.ROUGHNESS, tile, image, 1).with(Slot.METAL, tile,
                image, 2);
    }

    private Dressing withNormals(Optional<UvTile> tile, FloatImage image) {
        if (image.encoding().kind() != Encoding.Kind.NORMAL || image.channels() < 3) {
            throw new IllegalArgumentException("normal: the image holds " + image.encoding().kind() + " in " + image.channels()
                    + " channels, must hold NORMAL in three: read it as normals");
        }
        return with(Slot.NORMAL, tile, image, 0);
    }

    private Dressing withColours(Optional<UvTile> tile, FloatImage image) {
        atLeastThree("baseColour", image);
        return with(Slot.BASE_COLOUR, tile, scalars(Slot.BASE_COLOUR, image), 0);
    }

    private Dressing withScalars(Slot slot, Optional<UvTile> tile, FloatImage image) {
        return with(slot, tile, scalars(slot, image), 0);
    }

    private static void atLeastThree(String what, FloatImage image) {
        if (image.channels() < 3) {
            throw new IllegalArgumentException(what + ": the image has " + image.channels() + " channels, must have 3 or 4");
        }
    }

    private static FloatImage scalars(Slot slot, FloatImage image) {
        Encoding.Kind kind = image.encoding().kind();
        if (kind == Encoding.Kind.NORMAL || kind == Encoding.Kind.ID) {
            throw new IllegalArgumentException(slot + ": the image holds " + kind + ", must hold DATA or COLOUR");
        }
        return image;
    }

    private Dressing with(Slot slot, Optional<UvTile> tile, FloatImage image, int channel) {
        EnumMap<Slot, SortedMap<UvTile, Source>> ofTiles = new EnumMap<>(tiles);
        EnumMap<Slot, Source> ofAll = new EnumMap<>(everywhere);
        Source source = new Source(image, channel);
        if (tile.isPresent()) {
            SortedMap<UvTile, Source> more = new TreeMap<>(ofTiles(slot));
            more.put(tile.get(), source);
            ofTiles.put(slot, more);
        } else {
            ofAll.put(slot, source);
        }
        return new Dressing(ofTiles, ofAll, red, green, blue, roughness, metal, vertexColours, frame);
    }

    private static float unit(String name, double value) {
        if (!(value >= 0 && value <= 1)) {
            throw new IllegalArgumentException(name + " = " + value + " must be 0 … 1");
        }
        return (float) value;
    }

    /** Returns the images of single UDIM tiles. */
    Map<UvTile, Source> ofTiles(Slot slot) {
        return tiles.getOrDefault(slot, new TreeMap<>());
    }

    /** Returns the image of all other unit squares. */
    Optional<Source> ofRest(Slot slot) {
        return Optional.ofNullable(everywhere.get(slot));
    }

    boolean has(Slot slot) {
        return everywhere.containsKey(slot) || tiles.containsKey(slot);
    }

    boolean hasImages() {
        return !everywhere.isEmpty() || !tiles.isEmpty();
    }

    float red() {
        return red;
    }

    float green() {
        return green;
    }

    float blue() {
        return blue;
    }

    float roughness() {
        return roughness;
    }

    float metal() {
        return metal;
    }

    boolean wearsVertexColours() {
        return vertexColours;
    }

    FrameRule frame() {
        return frame;
    }
}
