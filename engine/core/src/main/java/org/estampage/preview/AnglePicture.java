package org.estampage.preview;

import java.util.List;
import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;

/** Angles and marks as colours. */
final class AnglePicture {
    private static final int ACROSS = 6;
    /** Angles and the linear colours they have; between them colours are mixed. Lightness rises all the way, so that it also reads in grey. */
    private static final double[] ANGLES = {0, 2, 8, 20, 45};
    private static final float[][] COLOURS = {{0.004f, 0.004f, 0.008f}, {0.01f, 0.03f, 0.2f}, {0.08f, 0.12f, 0.45f}, {0.75f, 0.22f, 0.04f},
            {1, 0.95f, 0.8f}};
    private static final float[] GROUND = {0.13f, 0.13f, 0.13f};
    private static final float[] ONLY_LOW = {0.03f, 0.4f, 0.12f};
    private static final float[] ONLY_HIGH = {0.5f, 0.06f, 0.6f};
    private static final float[] APART = {0.14f, 0.02f, 0.2f};

    private AnglePicture() {
    }

    static FloatImage of(FloatImage angles) {
        FloatImage picture = FloatImage.create(angles.width(), angles.height(), Encoding.colour(3));
        draw(angles, picture, 0, 0);
        return picture;
    }

    static FloatImage sheet(List<FloatImage> views) {
        int w = views.get(0).width(), h = views.get(0).height(), across = Math.min(ACROSS, views.size());
        FloatImage sheet = FloatImage.create(across * w, (views.size() + across - 1) / across * h, Encoding.colour(3));
        sheet.fill(GROUND);
        for (int v = 0; v < views.size(); v++) {
            draw(views.get(v), sheet, v % across * w, v / across * h);
        }
        return sheet;
    }

    private static void draw(FloatImage angles, FloatImage dest, int left, int top) {
        float[] row = new float[angles.width()], colours = new float[3 * row.length];
        for (int y = 0; y < angles.height(); y++) {
            angles.read(0, y, row.length, 1, row);
            for (int x = 0; x < row.length; x++) {
                write(row[x], colours, 3 * x);
            }
            dest.write(left, top + y, row.length, 1, colours);
        }
    }

    private static void write(float angle, float[] dest, int at) {
        float[] mark = angle == Comparison.ONLY_LOW
                ? ONLY_LOW
                : angle == Comparison.ONLY_HIGH ? ONLY_HIGH : angle == Comparison.APART ? APART : GROUND;
        if (angle < 0) {
            System.arraycopy(mark, 0, dest, at, 3);
            return;
        }
        int step = 0;
        while (step < ANGLES.length - 2 && angle > ANGLES[step + 1]) {
            step++;
        }
        float part = (float) Math.min(1, (angle - ANGLES[step]) / (ANGLES[step + 1] - ANGLES[step]));
        for (int k = 0; k < 3; k++) {
            dest[at + k] = COLOURS[step][k] + part * (COLOURS[step + 1][k] - COLOURS[step][k]);
        }
    }
}
