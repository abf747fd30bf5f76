package org.estampage.examples.editor.drawing;

import java.awt.image.BufferedImage;

/** Images of half the size: the mean of every four pixels, or of what is left of them at an odd border. */
final class Halved {
    private Halved() {
    }

    /** Returns the half of an image of type ARGB_PRE. */
    static BufferedImage of(BufferedImage image) {
        int w = (image.getWidth() + 1) / 2, h = (image.getHeight() + 1) / 2;
        BufferedImage half = new BufferedImage(w, h, BufferedImage.TYPE_INT_ARGB_PRE);
        int[] upper = new int[image.getWidth()], lower = new int[image.getWidth()], row = new int[w];
        for (int y = 0; y < h; y++) {
            image.getRaster().getDataElements(0, 2 * y, image.getWidth(), 1, upper);
            image.getRaster().getDataElements(0, Math.min(2 * y + 1, image.getHeight() - 1), image.getWidth(), 1, lower);
            for (int x = 0; x < w; x++) {
                int right = Math.min(2 * x + 1, image.getWidth() - 1);
                row[x] = mean(upper[2 * x], upper[right], lower[2 * x], lower[right]);
            }
            half.getRaster().setDataElements(0, y, w, 1, row);
        }
        return half;
    }

    private static int mean(int a, int b, int c, int d) {
        int mean = 0;
        for (int shift = 0; shift < 32; shift += 8) {
            int sum = ((a >>> shift) & 0xFF) + ((b >>> shift) & 0xFF) + ((c >>> shift) & 0xFF) + ((d >>> shift) & 0xFF);
            mean |= ((sum + 2) / 4) << shift;
        }
        return mean;
    }
}
