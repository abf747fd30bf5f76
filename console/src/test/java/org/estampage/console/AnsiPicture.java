package org.estampage.console;

import java.awt.image.BufferedImage;
import java.util.ArrayList;
import java.util.List;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

/** Reads half blocks as a terminal of true colours draws them. */
final class AnsiPicture {
    private static final Pattern PIECE = Pattern.compile("\033\\[([\\d;]*)m|(▀)|(\n)");

    private AnsiPicture() {
    }

    /** Returns the picture; what has no ground of its own gets {@code ground}. */
    static BufferedImage read(String text, int ground) {
        List<int[]> rows = new ArrayList<>();
        List<Integer> upper = new ArrayList<>(), lower = new ArrayList<>();
        int front = ground, back = ground;
        Matcher matcher = PIECE.matcher(text);
        while (matcher.find()) {
            if (matcher.group(2) != null) {
                upper.add(front);
                lower.add(back);
            } else if (matcher.group(3) != null) {
                rows.add(upper.stream().mapToInt(Integer::intValue).toArray());
                rows.add(lower.stream().mapToInt(Integer::intValue).toArray());
                upper.clear();
                lower.clear();
            } else {
                String[] numbers = matcher.group(1).split(";");
                for (int i = 0; i < numbers.length; i++) {
                    switch (numbers[i]) {
                        case "38" -> {
                            front = rgb(numbers, i);
                            i += 4;
                        }
                        case "48" -> {
                            back = rgb(numbers, i);
                            i += 4;
                        }
                        default -> {
                            front = ground;
                            back = ground;
                        }
                    }
                }
            }
        }
        BufferedImage image = new BufferedImage(rows.getFirst().length, rows.size(), BufferedImage.TYPE_INT_RGB);
        for (int y = 0; y < rows.size(); y++) {
            image.setRGB(0, y, rows.get(y).length, 1, rows.get(y), 0, rows.get(y).length);
        }
        return image;
    }

    private static int rgb(String[] numbers, int at) {
        return (Integer.parseInt(numbers[at + 2]) << 16) | (Integer.parseInt(numbers[at + 3]) << 8) | Integer.parseInt(numbers[at + 4]);
    }
}
