package org.estampage.image;

/**
 * Colours in the OKLab space, in which equal distances look about equally large.
 *
 * @threads stateless
 * @source Ottosson, A perceptual color space for image processing, 2020: the matrices for linear sRGB, from memory; the tests hold published values
 */
final class OkLab {
    private OkLab() {
    }

    /**
     * Writes lightness, 0 … 1, and the two opponent axes, green to red and blue to yellow, of linear sRGB.
     *
     * @param dest three numbers at {@code at}
     */
    static void of(double red, double green, double blue, double[] dest, int at) {
        double l = StrictMath.cbrt(0.4122214708 * red + 0.5363325363 * green + 0.0514459929 * blue);
        double m = StrictMath.cbrt(0.2119034982 * red + 0.6806995451 * green + 0.1073969566 * blue);
        double s = StrictMath.cbrt(0.0883024619 * red + 0.2817188376 * green + 0.6299787005 * blue);
        dest[at] = 0.2104542553 * l + 0.7936177850 * m - 0.0040720468 * s;
        dest[at + 1] = 1.9779984951 * l - 2.4285922050 * m + 0.4505937099 * s;
        dest[at + 2] = 0.0259040371 * l + 0.7827717662 * m - 0.8086757660 * s;
    }
}
