package org.estampage.uv;

import java.util.List;
import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.image.Srgb;
import org.estampage.mesh.MeshSource;
import org.estampage.task.Task;

/**
 * A picture of the layout of a mesh's UVs, with distortion in colour.
 *
 * <p>Tiles are dark squares, the first one at the lower left, each with a line around it. Charts are filled by the distortion of their triangles, the
 * symmetric Dirichlet energy at the chart's best scale: dark blue for 1, over green, to pale yellow for {@value #WORST} and more. Lightness alone tells
 * the order, so that it can be read without telling colours apart. Borders of charts are white, edges within are thin and dark.
 *
 * <p>Overlapping triangles are hatched with stripes that rise to the right, flipped ones with stripes that fall, both in black and white; where a chart
 * reaches across its tile's border, the part beyond is drawn, too. Below stands the scale: ten fields from 1 to {@value #WORST}, and above it a mark for
 * each, longer at 1 and at {@link Unwrap}'s usual bound of 1.12.
 *
 * @threads stateless
 * @cost time: O(triangles + texels), and {@link UvMeasures}
 */
public final class UvPicture {
    /** The energy of the scale's end: a stretch of about 1.8 : 1 in one direction. */
    static final double WORST = 1.4;
    /** Fields of the scale; 1.12 is the end of the third. */
    private static final int STEPS = 10;
    private static final int LEAST_SIDE = 64;
    private static final int MOST_SIDE = 8192;
    /** Room around the tiles, as a part of the picture's width. */
    private static final double EDGE = 0.02;
    /** The height of the scale likewise. */
    private static final double SCALE = 0.035;
    /** Samples a texel of the picture along each side. */
    private static final int FINE = 2;
    /** The most tiles in a picture along a side: more would be too small to see. */
    private static final int MOST_TILES = 32;
    private static final float[] GROUND = {0.012f, 0.012f, 0.014f};
    private static final float[] TILE = {0.03f, 0.03f, 0.034f};
    private static final float[] LINE = {0.18f, 0.18f, 0.2f};
    private static final float[] WHITE = {0.9f, 0.9f, 0.9f};
    private static final float[] BLACK = {0.002f, 0.002f, 0.002f};
    /** Colours along the scale, of lightness 28, 47, 66, 81 and 94 of 100 or about; chosen by us, sRGB. */
    private static final double[][] COLOURS = {{0.16, 0.24, 0.55}, {0.13, 0.46, 0.56}, {0.36, 0.67, 0.46}, {0.74, 0.81, 0.36},
            {0.99, 0.93, 0.66}};

    private final UvMeasures uv;
    private final float[] uvs;
    private final int[] indices;
    private final int side;
    private final int rows;
    private final int left;
    private final int bottom;
    private final int columns;
    private final int tilesUp;
    /** A tile's width and height in the picture. */
    private final double texels;
    private final double tall;
    private final int inset;
    /** The picture: red, green and blue of each texel, row by row. */
    private final float[] picture;

    private UvPicture(UvMeasures uv, int side) {
        this.uv = uv;
        this.side = side;
        uvs = uv.mesh().uvSets().get(0).values();
        indices = uv.mesh().uvSets().get(0).indices();
        int[] span = span(uv.charts());
        left = span[0];
        bottom = span[1];
        columns = span[2] - span[0] + 1;
        tilesUp = span[3] - span[1] + 1;
        inset = (int) Math.ceil(EDGE * side);
        double shape = (double) uv.height() / uv.width();
        texels = (side - 2.0 * inset) / Math.max(columns, tilesUp * shape);
        tall = texels * shape;
        rows = Math.max(1, (int) Math.ceil(tall * tilesUp)) + 3 * inset + scaleHeight();
        picture = new float[3 * side * rows];
    }

    /**
     * Draws the picture of the first UV set.
     *
     * @param side   the picture's width in texels; its height follows from the tiles, which are drawn no higher than that
     * @param width  of the image that the UVs are for
     * @param height likewise
     * @throws IllegalArgumentException                   if the side is not 64 … 8192, or one of the image's is not 1 … 65536
     * @throws org.estampage.mesh.InvalidMeshException    if there are no triangles or no UVs, or positions or UVs are not finite
     * @throws java.util.concurrent.CancellationException if the task is cancelled
     */
    public static FloatImage draw(MeshSource mesh, int side, int width, int height, Task task) {
        PackingOptions.inRange("side", side, LEAST_SIDE, MOST_SIDE);
        return new UvPicture(UvMeasures.of(mesh, 0, width, height, task), side).drawn(task);
    }

    /** Returns the least and largest tile that charts are on, the first tile among them, as far as they can be shown. */
    private static int[] span(List<UvChart> charts) {
        int[] span = {0, 0, 0, 0};
        for (UvChart chart : charts) {
            int column = Math.max(-MOST_TILES / 2, Math.min(MOST_TILES / 2 - 1, chart.column()));
            int row = Math.max(-MOST_TILES / 2, Math.min(MOST_TILES / 2 - 1, chart.row()));
            span[0] = Math.min(span[0], column);
            span[1] = Math.min(span[1], row);
            span[2] = Math.max(span[2], column);
            span[3] = Math.max(span[3], row);
        }
        return span;
    }

    private int scaleHeight() {
        return (int) Math.ceil(SCALE * side);
    }

    private FloatImage drawn(Task task) {
        for (int i = 0; i < picture.length; i++) {
            picture[i] = GROUND[i % 3];
        }
        double size = Math.max(1, side / 1200.0);
        for (int column = left; column < left + columns; column++) {
            for (int row = bottom; row < bottom + tilesUp; row++) {
                fill(x(column), y(row + 1.0), x(column + 1.0), y(row), TILE);
            }
        }
        int n = uv.mesh().triangleCount();
        Task.Stage stage = task.stage("drawing UVs", 2L * n);
        for (int t = 0; t < n; t++) {
            triangle(t);
            stage.advance(1);
        }
        for (int column = left; column <= left + columns; column++) {
            line(x(column), y(bottom), x(column), y(bottom + tilesUp), size, LINE, 1);
        }
        for (int row = bottom; row <= bottom + tilesUp; row++) {
            line(x(left), y(row), x(left + columns), y(row), size, LINE, 1);
        }
        for (int t = 0; t < n; t++) {
            for (int k = 0; k < 3; k++) {
                int a = 2 * indices[3 * t + k];
                int b = 2 * indices[3 * t + (k + 1) % 3];
                boolean border = uv.border[3 * t + k];
                line(x(uvs[a]), y(uvs[a + 1]), x(uvs[b]), y(uvs[b + 1]), border ? size : 0.5 * size, border ? WHITE : BLACK,
                        border ? 1 : 0.25f);
            }
            stage.advance(1);
        }
        scale(size);
        FloatImage image = FloatImage.create(side, rows, Encoding.colour(3), task.memory());
        image.write(0, 0, side, rows, picture);
        return image;
    }

    private double x(double u) {
        return inset + (u - left) * texels;
    }

    private double y(double v) {
        return inset + (bottom + tilesUp - v) * tall;
    }

    /** Fills a triangle: each texel by the part of its samples that it holds. */
    private void triangle(int t) {
        double[] p = new double[6];
        for (int k = 0; k < 3; k++) {
            p[2 * k] = x(uvs[2 * indices[3 * t + k]]);
            p[2 * k + 1] = y(uvs[2 * indices[3 * t + k] + 1]);
        }
        double area = (p[2] - p[0]) * (p[5] - p[1]) - (p[3] - p[1]) * (p[4] - p[0]);
        if (area == 0) {
            return;
        }
        float[] colour = colour(uv.energies[t]);
        int top = clamp(Math.min(p[1], Math.min(p[3], p[5])), rows);
        int end = clamp(Math.max(p[1], Math.max(p[3], p[5])) + 1, rows);
        int from = clamp(Math.min(p[0], Math.min(p[2], p[4])), side);
        int to = clamp(Math.max(p[0], Math.max(p[2], p[4])) + 1, side);
        double stripe = Math.max(3, side / 128.0);
        for (int y = top; y < end; y++) {
            for (int x = from; x < to; x++) {
                int held = 0;
                for (int i = 0; i < FINE; i++) {
                    for (int j = 0; j < FINE; j++) {
                        held += holds(p, area, x + (i + 0.5) / FINE, y + (j + 0.5) / FINE) ? 1 : 0;
                    }
                }
                if (held > 0) {
                    float[] here = colour;
                    if (uv.overlapping[t] && within(x + y, stripe)) {
                        here = within(x + y, stripe / 2) ? BLACK : WHITE;
                    }
                    if (uv.flipped[t] && within(x - y, stripe)) {
                        here = within(x - y, stripe / 2) ? BLACK : WHITE;
                    }
                    mix(x, y, here, (float) held / (FINE * FINE));
                }
            }
        }
    }

    private static boolean holds(double[] p, double area, double x, double y) {
        for (int k = 0; k < 6; k += 2) {
            int next = (k + 2) % 6;
            double side = (p[next] - p[k]) * (y - p[k + 1]) - (p[next + 1] - p[k + 1]) * (x - p[k]);
            if (area > 0 ? side < 0 : side > 0) {
                return false;
            }
        }
        return true;
    }

    private static boolean within(int across, double stripe) {
        double place = across / (2 * stripe);
        return place - Math.floor(place) < 0.5;
    }

    private static int clamp(double value, int most) {
        return (int) Math.min(most, Math.max(0, Math.floor(value)));
    }

    private void mix(int x, int y, float[] colour, float part) {
        int at = 3 * (y * side + x);
        for (int k = 0; k < 3; k++) {
            picture[at + k] += part * (colour[k] - picture[at + k]);
        }
    }

    private void fill(double fromX, double fromY, double toX, double toY, float[] colour) {
        for (int y = clamp(Math.rint(fromY), rows); y < clamp(Math.rint(toY), rows); y++) {
            for (int x = clamp(Math.rint(fromX), side); x < clamp(Math.rint(toX), side); x++) {
                mix(x, y, colour, 1);
            }
        }
    }

    /** Draws a line: a texel is covered as far as its middle lies within the line, softened over one texel. */
    private void line(double ax, double ay, double bx, double by, double size, float[] colour, float strength) {
        double dx = bx - ax;
        double dy = by - ay;
        double square = dx * dx + dy * dy;
        boolean steep = Math.abs(dy) > Math.abs(dx);
        double reach = size / 2 + 1;
        int from = steep ? clamp(Math.min(ay, by) - reach, rows) : clamp(Math.min(ax, bx) - reach, side);
        int to = steep ? clamp(Math.max(ay, by) + reach + 1, rows) : clamp(Math.max(ax, bx) + reach + 1, side);
        // along the longer way the line moves by at most one texel across, and reaches 1.5 times its half width
        for (int i = from; i < to; i++) {
            double part = square == 0 ? 0 : Math.min(1, Math.max(0, (i + 0.5 - (steep ? ay : ax)) / (steep ? dy : dx)));
            double middle = steep ? ax + part * dx : ay + part * dy;
            int low = clamp(middle - 1.5 * reach, steep ? side : rows);
            int high = clamp(middle + 1.5 * reach + 1, steep ? side : rows);
            for (int j = low; j < high; j++) {
                int x = steep ? j : i;
                int y = steep ? i : j;
                double along = square == 0 ? 0 : Math.min(1, Math.max(0, ((x + 0.5 - ax) * dx + (y + 0.5 - ay) * dy) / square));
                double offX = x + 0.5 - ax - along * dx;
                double offY = y + 0.5 - ay - along * dy;
                double cover = Math.min(1, Math.max(0, size / 2 + 0.5 - Math.sqrt(offX * offX + offY * offY)));
                mix(x, y, colour, strength * (float) cover);
            }
        }
    }

    private void scale(double size) {
        double top = rows - inset - scaleHeight() * 0.7;
        double field = (side - 2.0 * inset) / STEPS;
        for (int i = 0; i < STEPS; i++) {
            double energy = 1 + (WORST - 1) * (i + 0.5) / STEPS;
            fill(inset + i * field, top, inset + (i + 1) * field, rows - inset, colour(energy));
        }
        for (int i = 0; i <= STEPS; i++) {
            double x = inset + i * field;
            boolean named = i == 0 || i == STEPS * 3 / 10;
            line(x, top, x, top - (named ? 0.3 : 0.12) * scaleHeight(), named ? 2 * size : size, WHITE, 1);
        }
    }

    /** Returns the colour of an energy, linear; grey where there is none. */
    static float[] colour(double energy) {
        if (Double.isNaN(energy)) {
            return LINE;
        }
        double place = Math.min(1, Math.max(0, (energy - 1) / (WORST - 1))) * (COLOURS.length - 1);
        int step = Math.min(COLOURS.length - 2, (int) place);
        float[] colour = new float[3];
        for (int k = 0; k < 3; k++) {
            double stored = COLOURS[step][k] + (place - step) * (COLOURS[step + 1][k] - COLOURS[step][k]);
            colour[k] = Srgb.decode((float) stored);
        }
        return colour;
    }
}
