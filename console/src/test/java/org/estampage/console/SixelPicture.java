package org.estampage.console;

import java.awt.image.BufferedImage;
import java.util.HashMap;
import java.util.Map;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

/** Reads Sixel graphics as a terminal draws them. */
final class SixelPicture {
    private static final Pattern WHOLE = Pattern.compile("\033P[\\d;]*q\"1;1;(\\d+);(\\d+)([^\033]*)\033\\\\", Pattern.DOTALL);
    private static final Pattern PIECE = Pattern.compile("#(\\d+);2;(\\d+);(\\d+);(\\d+)|#(\\d+)|!(\\d+)([?-~])|([?-~])|(\\$)|(-)");

    private SixelPicture() {
    }

    static BufferedImage read(String text) {
        Matcher whole = WHOLE.matcher(text);
        if (!whole.find()) {
            throw new IllegalArgumentException("no Sixel graphics");
        }
        BufferedImage image = new BufferedImage(Integer.parseInt(whole.group(1)), Integer.parseInt(whole.group(2)),
                BufferedImage.TYPE_INT_RGB);
        Map<Integer, Integer> palette = new HashMap<>();
        int colour = 0, x = 0, top = 0;
        Matcher piece = PIECE.matcher(whole.group(3));
        int end = 0;
        while (piece.find()) {
            if (piece.start() != end) {
                throw new IllegalArgumentException("what is " + whole.group(3).substring(end, piece.start()));
            }
            end = piece.end();
            if (piece.group(1) != null) {
                palette.put(Integer.parseInt(piece.group(1)),
                        (percent(piece.group(2)) << 16) | (percent(piece.group(3)) << 8) | percent(piece.group(4)));
            } else if (piece.group(5) != null) {
                colour = palette.getOrDefault(Integer.parseInt(piece.group(5)), 0);
            } else if (piece.group(9) != null) {
                x = 0;
            } else if (piece.group(10) != null) {
                x = 0;
                top += 6;
            } else {
                int count = piece.group(6) == null ? 1 : Integer.parseInt(piece.group(6));
                int bits = (piece.group(6) == null ? piece.group(8) : piece.group(7)).charAt(0) - 63;
                for (int i = 0; i < count; i++, x++) {
                    for (int row = 0; row < 6; row++) {
                        if (((bits >> row) & 1) == 1) {
                            image.setRGB(x, top + row, colour);
                        }
                    }
                }
            }
        }
        return image;
    }

    private static int percent(String text) {
        return Math.round(Integer.parseInt(text) * 255 / 100f);
    }
}
