package org.estampage.preview;

import java.util.stream.IntStream;
import org.estampage.bvh.Facing;
import org.estampage.bvh.HemisphereBatch;
import org.estampage.bvh.HemisphereQuery;
import org.estampage.bvh.HitBatch;
import org.estampage.bvh.RayBatch;
import org.estampage.image.FloatImage;
import org.estampage.internal.kernel.Directions;
import org.estampage.task.Task;

/**
 * Draws one figure into a region of an image, in blocks.
 *
 * <p>A pixel has n × n rays, no two in one row or column of its n² by n² grid, spread as a tent over two pixels' width: their plain mean is then the mean
 * under the tent.
 *
 * @threads confined; {@link #paint} runs in the caller's fork-join pool, else in the common one, with the same values for any number of threads
 * @source Kensler, Correlated Multi-Jittered Sampling, 2013 (the grid, unshuffled); Ernst, Stamminger, Greiner, Filter Importance Sampling, 2006
 */
final class PictureBlocks {
    /** Side of a block in pixels. */
    private static final int BLOCK = 16;
    /** Linear grey behind the figure, on top and at the bottom. */
    private static final float TOP = 0.16f;
    private static final float BOTTOM = 0.065f;

    private final Figure figure;
    private final Camera camera;
    private final Lights lights;
    private final Lighting lighting;
    private final int samplesPerSide;
    private final int skyRays;
    private final double exposure;
    private final FloatImage image;
    private final int left;
    private final int width;
    private final int height;
    /** Places of the rays about a pixel's middle, x and y, in pixels. */
    private final double[] offsets;

    PictureBlocks(Figure figure, Camera camera, Lights lights, int samplesPerSide, int skyRays, double exposure, FloatImage image, int left,
            int width) {
        this.figure = figure;
        this.camera = camera;
        this.lights = lights;
        this.lighting = new Lighting(lights);
        this.samplesPerSide = samplesPerSide;
        this.skyRays = figure.hasOcclusion() ? 0 : skyRays;
        this.exposure = exposure;
        this.image = image;
        this.left = left;
        this.width = width;
        this.height = image.height();
        offsets = offsets(samplesPerSide);
    }

    private static double[] offsets(int n) {
        double[] offsets = new double[2 * n * n];
        for (int i = 0; i < n * n; i++) {
            int column = i % n, row = i / n;
            offsets[2 * i] = tent((column + (row + 0.5) / n) / n);
            offsets[2 * i + 1] = tent((row + (column + 0.5) / n) / n);
        }
        return offsets;
    }

    /** Returns where a tent from −1 to 1 has so much of its area to the left. */
    private static double tent(double part) {
        return part < 0.5 ? Math.sqrt(2 * part) - 1 : 1 - Math.sqrt(2 - 2 * part);
    }

    /** Returns how many blocks there are. */
    int blockCount() {
        return across() * ((height + BLOCK - 1) / BLOCK);
    }

    private int across() {
        return (width + BLOCK - 1) / BLOCK;
    }

    void paint(Task.Stage stage) {
        IntStream.range(0, blockCount()).parallel().forEach(block -> {
            int x = block % across() * BLOCK, y = block / across() * BLOCK;
            new Block(x, y, Math.min(BLOCK, width - x), Math.min(BLOCK, height - y)).paint();
            stage.advance(1);
        });
    }

    /** The rays of a square of pixels. */
    private final class Block {
        private final int x0;
        private final int y0;
        private final int w;
        private final int h;
        private final int samples = samplesPerSide * samplesPerSide;
        private final RayBatch rays;
        private final HitBatch hits;
        /** What each ray met that met something. */
        private final Surface[] surfaces;
        private final float[] lit;
        private final float[] open;

        Block(int x0, int y0, int w, int h) {
            this.x0 = x0;
            this.y0 = y0;
            this.w = w;
            this.h = h;
            int count = w * h * samples;
            rays = new RayBatch(count);
            hits = new HitBatch(count);
            surfaces = new Surface[count];
            lit = new float[count];
            open = new float[count];
        }

        void paint() {
            for (int pixel = 0; pixel < w * h; pixel++) {
                for (int s = 0; s < samples; s++) {
                    camera.add((x0 + pixel % w + 0.5 + offsets[2 * s]) / width, (y0 + pixel / w + 0.5 + offsets[2 * s + 1]) / height, rays);
                }
            }
            figure.tracer.closestHits(rays, Facing.BOTH, hits);
            readSurfaces();
            traceKeyLight();
            traceSky();
            write();
        }

        private void readSurfaces() {
            float[] scratch = new float[8];
            for (int i = 0; i < rays.size; i++) {
                if (hits.triangle[i] >= 0) {
                    surfaces[i] = new Surface();
                    double footprint = camera.widthAt(hits.t[i], 1.0 / (height * samplesPerSide));
                    figure.read(hits.triangle[i], hits.b1[i], hits.b2[i], rays.directionX[i], rays.directionY[i], rays.directionZ[i],
                            footprint,
                            scratch, surfaces[i]);
                }
            }
        }

        private boolean isHit(int i) {
            return hits.triangle[i] >= 0;
        }

        private int seed(int i) {
            int pixel = i / samples;
            return Directions.texelSeed(x0 + pixel % w, y0 + pixel / w);
        }

        /** Asks for each surface that looks at the key light whether one place of it is seen. */
        private void traceKeyLight() {
            RayBatch shadows = new RayBatch(rays.size);
            int[] owners = new int[rays.size];
            float[] way = new float[3];
            float cone = Directions.width(lights.keyCone(), true);
            float kx = (float) lights.key().x(), ky = (float) lights.key().y(), kz = (float) lights.key().z();
            for (int i = 0; i < rays.size; i++) {
                if (isHit(i) && lights.key().dot(surfaces[i].nx, surfaces[i].ny, surfaces[i].nz) > 0) {
                    Directions.within(cone, i % samples, seed(i), true, kx, ky, kz, way, 0);
                    owners[shadows.size] = i;
                    shadows.add(surfaces[i].startX, surfaces[i].startY, surfaces[i].startZ, way[0], way[1], way[2], 0,
                            Float.POSITIVE_INFINITY);
                }
            }
            boolean[] blocked = new boolean[shadows.size];
            figure.tracer.anyHits(shadows, Facing.BOTH, blocked);
            for (int i = 0; i < shadows.size; i++) {
                lit[owners[i]] = blocked[i] ? 0 : 1;
            }
        }

        /** Finds how open each surface is: by its map, else by rays. */
        private void traceSky() {
            HemisphereBatch points = new HemisphereBatch(skyRays > 0 ? rays.size : 0);
            int[] owners = new int[rays.size];
            for (int i = 0; i < rays.size; i++) {
                if (isHit(i)) {
                    Surface s = surfaces[i];
                    open[i] = Float.isNaN(s.occlusion) ? 1 : s.occlusion;
                    if (skyRays > 0) {
                        int p = points.size++;
                        owners[p] = i;
                        points.x[p] = s.startX;
                        points.y[p] = s.startY;
                        points.z[p] = s.startZ;
                        points.normalX[p] = (float) s.sx;
                        points.normalY[p] = (float) s.sy;
                        points.normalZ[p] = (float) s.sz;
                        points.seed[p] = Directions.mix(seed(i)); // other directions than the key light's
                        points.first[p] = i % samples * skyRays;
                        points.count[p] = skyRays;
                    }
                }
            }
            if (points.size > 0) {
                HemisphereQuery query = new HemisphereQuery(HemisphereQuery.Distribution.COSINE, skyRays, Float.POSITIVE_INFINITY);
                figure.tracer.hemispheres(query, points);
                for (int p = 0; p < points.size; p++) {
                    open[owners[p]] = (float) points.open[p] / skyRays;
                }
            }
        }

        private void write() {
            float[] colours = new float[3 * w * h];
            double[] colour = new double[3];
            for (int pixel = 0; pixel < w * h; pixel++) {
                double part = (y0 + pixel / w + 0.5) / height, ground = TOP + part * (BOTTOM - TOP);
                double red = 0, green = 0, blue = 0;
                for (int i = pixel * samples; i < (pixel + 1) * samples; i++) {
                    colour[0] = ground;
                    colour[1] = ground;
                    colour[2] = ground;
                    if (isHit(i)) {
                        lighting.write(surfaces[i], -rays.directionX[i], -rays.directionY[i], -rays.directionZ[i], lit[i], open[i], colour);
                        colour[0] *= exposure;
                        colour[1] *= exposure;
                        colour[2] *= exposure;
                        Tone.bend(colour);
                    }
                    red += colour[0];
                    green += colour[1];
                    blue += colour[2];
                }
                colours[3 * pixel] = (float) (red / samples);
                colours[3 * pixel + 1] = (float) (green / samples);
                colours[3 * pixel + 2] = (float) (blue / samples);
            }
            image.write(left + x0, y0, w, h, colours);
        }
    }
}
