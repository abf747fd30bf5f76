package org.estampage.material;

import java.util.Objects;
import org.estampage.image.ImageSource;

/**
 * What a surface is made of: base colour, roughness, metal, and optionally a relief as normals and heights, and its own occlusion. Each is an image or what
 * makes one; a {@link ScalableImage} such as a {@link Tiling} is made at the size of what it is laid on.
 *
 * @param baseColour linear colour, 3 channels
 * @param roughness  0 … 1, one channel; its square is the width of the microfacets' slopes, as glTF 2.0 has it
 * @param metal      0 or 1, between where they mix; one channel
 * @param normal     tangent-space normals
 * @param height     outwards, one channel
 * @param occlusion  1 is open, one channel
 * @threads immutable
 */
public record LayerMaterial(ImageSource baseColour, ImageSource roughness, ImageSource metal, ImageSource normal, ImageSource height,
        ImageSource occlusion) {
    /** Checks that nothing is null. */
    public LayerMaterial {
        Objects.requireNonNull(baseColour, "baseColour");
        Objects.requireNonNull(roughness, "roughness");
        Objects.requireNonNull(metal, "metal");
        Objects.requireNonNull(normal, "normal");
        Objects.requireNonNull(height, "height");
        Objects.requireNonNull(occlusion, "occlusion");
    }

    /** Returns a flat, open material of images. */
    public static LayerMaterial of(ImageSource baseColour, ImageSource roughness, ImageSource metal) {
        return new LayerMaterial(baseColour, roughness, metal, Even.flat(), Even.data("height", 0), Even.data("occlusion", 1));
    }

    /**
     * Returns a flat, open material of images that is a metal everywhere, or nowhere.
     *
     * @param metal 1 for a metal, 0 for anything else
     * @throws IllegalArgumentException if it is not 0 … 1
     */
    public static LayerMaterial of(ImageSource baseColour, ImageSource roughness, double metal) {
        return of(baseColour, roughness, Even.data("metal", metal));
    }

    /**
     * Returns a flat, open material that is the same everywhere.
     *
     * @param red   linear, as {@code green} and {@code blue}
     * @param metal 1 for a metal, 0 for anything else
     * @throws IllegalArgumentException if a number is not 0 … 1
     */
    public static LayerMaterial even(double red, double green, double blue, double roughness, double metal) {
        return of(Even.colour(red, green, blue), Even.data("roughness", roughness), Even.data("metal", metal));
    }

    /** Returns the material with another base colour. */
    public LayerMaterial withBaseColour(ImageSource image) {
        return new LayerMaterial(image, roughness, metal, normal, height, occlusion);
    }

    /** Returns the material with another roughness. */
    public LayerMaterial withRoughness(ImageSource image) {
        return new LayerMaterial(baseColour, image, metal, normal, height, occlusion);
    }

    /** Returns the material with a relief as tangent-space normals. */
    public LayerMaterial withNormal(ImageSource image) {
        return new LayerMaterial(baseColour, roughness, metal, image, height, occlusion);
    }

    /** Returns the material with heights. */
    public LayerMaterial withHeight(ImageSource image) {
        return new LayerMaterial(baseColour, roughness, metal, normal, image, occlusion);
    }

    /** Returns the material with an occlusion of its own relief. */
    public LayerMaterial withOcclusion(ImageSource image) {
        return new LayerMaterial(baseColour, roughness, metal, normal, height, image);
    }
}
