package org.estampage.console;

import java.awt.image.BufferedImage;
import java.util.LinkedHashMap;
import java.util.Map;

/**
 * Pictures as Sixel graphics, for terminals that say that they draw them.
 *
 * @source VT330/VT340 Programmer Reference Manual, volume 2: Graphics Programming, 1988, chapter 14 (from memory)
 */
final class Sixel {
    private static final int BAND = 6;
    /** Terminals in common use have as many colour registers. */
    private static final int MOST_COLOURS = 256;
    /** More colours than registers are spread over this many levels of red, green and blue: 252 in all, green finest as the eye sees it best. */
    private static final int[] LEVELS = {6, 7, 6};
    private static final int FIRST = 63;

    private final int width;
    private final int height;
    private final int[] register;
    private final Map<Integer, Integer> registers = new LinkedHashMap<>();

    private Sixel(BufferedImage image) {
        width = image.getWidth();
        height = image.getHeight();
        register = new int[width * height];
        int[] pixels = image.getRGB(0, 0, width, height, null, 0, width);
        if (!takeAsTheyAre(pixels)) {
            registers.clear();
            spread(pixels);
        }
    }

    /** Returns a picture's control sequence. */
    static String of(BufferedImage image) {
        return new Sixel(image).text();
    }

    private boolean takeAsTheyAre(int[] pixels) {
        for (int i = 0; i < pixels.length; i++) {
            register[i] = number(pixels[i] & 0xffffff);
            if (registers.size() > MOST_COLOURS) {
                return false;
            }
        }
        return true;
    }

    private int number(int rgb) {
        Integer known = registers.putIfAbsent(rgb, registers.size());
        return known == null ? registers.size() - 1 : known;
    }

    /**
     * Takes the nearest level and hands what is left to the neighbours that come later.
     *
     * @source Floyd and Steinberg, An adaptive algorithm for spatial greyscale, Proceedings of the Society for Information Display 17, 1976
     */
    private void spread(int[] pixels) {
        float[] error = new float[3 * (width + 2)], next = new float[3 * (width + 2)];
        for (int y = 0; y < height; y++) {
            for (int x = 0; x < width; x++) {
                int taken = 0;
                for (int c = 0; c < 3; c++) {
                    int at = 3 * (x + 1) + c;
                    float wanted = ((pixels[y * width + x] >> (16 - 8 * c)) & 0xff) + error[at];
                    int steps = LEVELS[c] - 1;
                    int level = Math.round(Math.clamp(Math.round(wanted * steps / 255), 0, steps) * 255f / steps);
                    float left = wanted - level;
                    error[at + 3] += left * 7 / 16;
                    next[at - 3] += left * 3 / 16;
                    next[at] += left * 5 / 16;
                    next[at + 3] += left / 16;
                    taken = (taken << 8) | level;
                }
                register[y * width + x] = number(taken);
            }
            float[] done = error;
            error = next;
            next = done;
            java.util.Arrays.fill(next, 0);
        }
    }

    private String text() {
        // Square pixels; pixels that are not set keep the ground, and all are set.
        StringBuilder text = new StringBuilder("\033P0;1;0q\"1;1;").append(width).append(';').append(height);
        registers.forEach((rgb, number) -> text.append('#').append(number).append(";2;").append(percent(rgb >> 16)).append(';')
                .append(percent(rgb >> 8)).append(';').append(percent(rgb)));
        for (int top = 0; top < height; top += BAND) {
            band(top, text);
            text.append('-');
        }
        return text.append("\033\\").toString();
    }

    private static int percent(int value) {
        return Math.round((value & 0xff) * 100 / 255f);
    }

    /** Adds a band of six rows: each of its colours over the whole width, one after another. */
    private void band(int top, StringBuilder inoutText) {
        boolean[] used = new boolean[registers.size()];
        for (int i = top * width; i < Math.min(height, top + BAND) * width; i++) {
            used[register[i]] = true;
        }
        for (int colour = 0; colour < used.length; colour++) {
            if (used[colour]) {
                inoutText.append('#').append(colour);
                row(top, colour, inoutText);
                inoutText.append('$');
            }
        }
    }

    private void row(int top, int colour, StringBuilder inoutText) {
        int last = -1, count = 0;
        for (int x = 0; x < width; x++) {
            int bits = 0;
            for (int i = 0; i < BAND && top + i < height; i++) {
                bits |= register[(top + i) * width + x] == colour ? 1 << i : 0;
            }
            if (bits != last) {
                run(last, count, inoutText);
                last = bits;
                count = 0;
            }
            count++;
        }
        if (last != 0) { // nothing at the end needs not be said
            run(last, count, inoutText);
        }
    }

    private static void run(int bits, int count, StringBuilder inoutText) {
        if (count > 3) {
            inoutText.append('!').append(count).append((char) (FIRST + bits));
        } else {
            inoutText.append(String.valueOf((char) (FIRST + bits)).repeat(count));
        }
    }
}
