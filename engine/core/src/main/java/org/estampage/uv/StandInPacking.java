package org.estampage.uv;

import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import java.util.stream.IntStream;

/** Rows of charts in order of height, at the largest scale that fits; until there is a packer. */
final class StandInPacking {
    private StandInPacking() {
    }

    static List<double[]> place(List<LaidPiece> charts, double[] weights, int width, int height, int gutter, int border) {
        int n = charts.size();
        double[][] boxes = new double[n][];
        for (int c = 0; c < n; c++) {
            double[] uv = charts.get(c).uv;
            double[] box = {uv[0], uv[1], uv[0], uv[1]};
            for (int i = 0; i < uv.length; i += 2) {
                box[0] = Math.min(box[0], uv[i]);
                box[1] = Math.min(box[1], uv[i + 1]);
                box[2] = Math.max(box[2], uv[i]);
                box[3] = Math.max(box[3], uv[i + 1]);
            }
            boxes[c] = box;
        }
        int[] order = IntStream.range(0, n).boxed().sorted(Comparator.comparingDouble(c -> -weights[c] * (boxes[c][3] - boxes[c][1])))
                .mapToInt(c -> c).toArray();
        double low = 0;
        double high = 1e6;
        double[] at = new double[2 * n];
        for (int step = 0; step < 80; step++) {
            double scale = low == 0 ? high / 2 : (low + high) / 2;
            if (rows(order, boxes, weights, scale, width, height, gutter, border, at)) {
                low = scale;
            } else {
                high = scale;
            }
        }
        rows(order, boxes, weights, low, width, height, gutter, border, at);
        List<double[]> placed = new ArrayList<>();
        for (int c = 0; c < n; c++) {
            double[] uv = charts.get(c).uv.clone();
            for (int i = 0; i < uv.length; i += 2) {
                uv[i] = Math.min(1, Math.max(0, (at[2 * c] + (uv[i] - boxes[c][0]) * low * weights[c]) / width));
                uv[i + 1] = Math.min(1, Math.max(0, (at[2 * c + 1] + (uv[i + 1] - boxes[c][1]) * low * weights[c]) / height));
            }
            placed.add(uv);
        }
        return placed;
    }

    private static boolean rows(int[] order, double[][] boxes, double[] weights, double scale, int width, int height, int gutter,
            int border,
            double[] at) {
        double x = border;
        double y = border;
        double row = 0;
        for (int c : order) {
            double w = (boxes[c][2] - boxes[c][0]) * scale * weights[c];
            double h = (boxes[c][3] - boxes[c][1]) * scale * weights[c];
            if (x + w > width - border && x > border) {
                x = border;
                y += row + gutter;
                row = 0;
            }
            if (x + w > width - border || y + h > height - border) {
                return false;
            }
            at[2 * c] = x;
            at[2 * c + 1] = y;
            x += w + gutter;
            row = Math.max(row, h);
        }
        return true;
    }
}
