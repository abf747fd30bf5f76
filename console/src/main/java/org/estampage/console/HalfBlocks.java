package org.estampage.console;

import java.awt.image.BufferedImage;

/**
 * Pictures as text: each character is the upper half of its cell in one colour on another, two pixels above each other.
 *
 * @source ECMA-48, Control functions for coded character sets, 5th edition 1991, 8.3.117 (SGR); ISO/IEC 8613-6 1994 for 38;2 and 38;5
 */
final class HalfBlocks {
    private static final char UPPER = '▀';
    /** The levels of the colour cube of 216 in the usual palette of 256 (common practice, no standard). */
    private static final int[] CUBE = {0, 95, 135, 175, 215, 255};
    private static final int FIRST_OF_CUBE = 16;
    private static final int FIRST_GREY = 232;
    private static final int GREYS = 24;

    private HalfBlocks() {
    }

    /** Returns a picture as lines of text; what lies below its last odd row keeps the terminal's own ground. */
    static String of(BufferedImage image, boolean trueColour) {
        StringBuilder text = new StringBuilder();
        for (int y = 0; y < image.getHeight(); y += 2) {
            String last = "";
            for (int x = 0; x < image.getWidth(); x++) {
                String colours = "\033[" + colour(38, image.getRGB(x, y), trueColour)
                        + (y + 1 < image.getHeight() ? ";" + colour(48, image.getRGB(x, y + 1), trueColour) : "") + "m";
                if (!colours.equals(last)) {
                    text.append(colours);
                    last = colours;
                }
                text.append(UPPER);
            }
            text.append("\033[0m\n");
        }
        return text.toString();
    }

    private static String colour(int which, int rgb, boolean trueColour) {
        int r = (rgb >> 16) & 0xff, g = (rgb >> 8) & 0xff, b = rgb & 0xff;
        return trueColour ? which + ";2;" + r + ";" + g + ";" + b : which + ";5;" + nearest(r, g, b);
    }

    /** Returns the nearest of the palette's cube and greys. */
    static int nearest(int r, int g, int b) {
        int i = level(r), j = level(g), k = level(b);
        int grey = Math.clamp(Math.round(((r + g + b) / 3f - 8) / 10), 0, GREYS - 1);
        int shade = 8 + 10 * grey;
        boolean greyIsNearer = apart(r, g, b, shade, shade, shade) < apart(r, g, b, CUBE[i], CUBE[j], CUBE[k]);
        return greyIsNearer ? FIRST_GREY + grey : FIRST_OF_CUBE + 36 * i + 6 * j + k;
    }

    private static int level(int value) {
        int best = 0;
        for (int i = 1; i < CUBE.length; i++) {
            best = Math.abs(CUBE[i] - value) < Math.abs(CUBE[best] - value) ? i : best;
        }
        return best;
    }

    private static int apart(int r, int g, int b, int r2, int g2, int b2) {
        return (r - r2) * (r - r2) + (g - g2) * (g - g2) + (b - b2) * (b - b2);
    }
}
