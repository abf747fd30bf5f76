package org.estampage.examples.editor.drawing;

import java.awt.image.BufferedImage;
import java.util.concurrent.atomic.LongAdder;
import java.util.stream.IntStream;
import org.estampage.examples.editor.model.ViewPoint;
import org.estampage.task.Task;

/**
 * Draws the 3D view by tracing a ray or more through every pixel: what it costs goes by the pixels, hardly by the triangles, so that a sculpt of millions
 * turns as smoothly as its low poly.
 */
public final class ScenePainter {
    /** Pixels of a tile's side: enough rays for a batch, few enough tiles to look often at whether somebody cancelled. */
    private static final int TILE = 32;

    private ScenePainter() {
    }

    /**
     * Draws a scene, on the common fork-join pool.
     *
     * @param samples n for n × n rays a pixel
     * @param scale   how many of the picture's pixels stand for one of the window, where that is more than one
     * @throws java.util.concurrent.CancellationException if the task was cancelled
     */
    public static Picture paint(Scene scene, ViewPoint from, int width, int height, int samples, double scale, Task task) {
        BufferedImage image = new BufferedImage(width, height, BufferedImage.TYPE_INT_RGB);
        float[] distances = new float[width * height];
        LongAdder outside = new LongAdder();
        int across = (width + TILE - 1) / TILE, down = (height + TILE - 1) / TILE;
        ThreadLocal<TilePainter> painters = ThreadLocal
                .withInitial(() -> new TilePainter(scene, new Lens(from, width, height), width, height, samples, scale, TILE * TILE));
        IntStream.range(0, across * down).parallel().forEach(tile -> {
            if (task.cancellation().isCancelled()) {
                return;
            }
            int x = tile % across * TILE, y = tile / across * TILE;
            int w = Math.min(TILE, width - x), h = Math.min(TILE, height - y);
            TilePainter painter = painters.get();
            painter.paint(x, y, w, h);
            outside.add(painter.outsidePixels());
            // Tiles are disjoint, so threads don't meet.
            image.getRaster().setDataElements(x, y, w, h, painter.pixels());
            for (int row = 0; row < h; row++) {
                System.arraycopy(painter.distances(), row * w, distances, (y + row) * width + x, w);
            }
        });
        task.check();
        return new Picture(image, from, distances, outside.sum());
    }
}
