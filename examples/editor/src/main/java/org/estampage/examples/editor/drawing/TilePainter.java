package org.estampage.examples.editor.drawing;

import java.util.Arrays;
import org.estampage.bvh.Facing;
import org.estampage.bvh.HitBatch;
import org.estampage.bvh.RayBatch;
import org.estampage.bvh.RayTracer;
import org.estampage.examples.editor.model.CageShape;
import org.estampage.examples.editor.model.OpenMesh;
import org.joml.Vector3d;

/**
 * Draws one tile of a picture after the other.
 *
 * @threads confined
 */
final class TilePainter {
    /** Of the shell's own colour, this much covers what is behind it. */
    private static final double SHELL_COVER = 0.2;
    private static final double LINE_COVER = 0.7;
    /** What stands outside is shown in a flat colour, with this much of the light left for its shape. */
    private static final double OUTSIDE_COVER = 0.75;

    private final Scene scene;
    private final Lens lens;
    private final int width;
    private final int height;
    private final int samples;
    private final double scale;
    private final SurfaceLight light;
    private final RayBatch rays;
    private final HitBatch hits;
    private final HitBatch shellHits;
    /** What each ray met first: which high poly, {@link #LOW}, or {@link #NOTHING}. */
    private final int[] met;
    private final float[] nearest;
    private final int[] triangles;
    private final float[] b1;
    private final float[] b2;
    private final int[] pixels;
    private final float[] distances;
    private final double[] rgb = new double[3];
    private final double[] sum = new double[3];
    private long outsidePixels;

    private static final int NOTHING = -2;
    private static final int LOW = -1;

    TilePainter(Scene scene, Lens lens, int width, int height, int samples, double scale, int mostPixels) {
        this.scene = scene;
        this.lens = lens;
        this.width = width;
        this.height = height;
        this.samples = samples;
        this.scale = scale;
        light = new SurfaceLight(lens);
        int count = mostPixels;
        rays = new RayBatch(count);
        hits = new HitBatch(count);
        shellHits = new HitBatch(count);
        met = new int[count];
        nearest = new float[count];
        triangles = new int[count];
        b1 = new float[count];
        b2 = new float[count];
        pixels = new int[count];
        distances = new float[count];
    }

    /** Returns the pixels of the last tile, 0xRRGGBB, row by row. */
    int[] pixels() {
        return pixels;
    }

    /** Returns the distances from the eye of the last tile's pixels. */
    float[] distances() {
        return distances;
    }

    /** Returns how many pixels of the last tile show high poly outside the cage. */
    long outsidePixels() {
        return outsidePixels;
    }

    /** Draws the tile at {@code (x0, y0)}; a batch of rays for each sample of all pixels. */
    void paint(int x0, int y0, int w, int h) {
        int count = w * h;
        double[] sums = new double[3 * count];
        boolean[] outside = new boolean[count];
        Arrays.fill(distances, 0, count, Float.POSITIVE_INFINITY);
        for (int s = 0; s < samples * samples; s++) {
            int column = s % samples, row = s / samples;
            aim(x0, y0, w, h, (column + 0.5) / samples, (row + 0.5) / samples);
            trace();
            for (int i = 0; i < count; i++) {
                int below = y0 + i / w;
                outside[i] |= shade(i, (below + 0.5) / height);
                distances[i] = Math.min(distances[i], nearest[i]);
                for (int k = 0; k < 3; k++) {
                    sums[3 * i + k] += rgb[k];
                }
            }
        }
        outsidePixels = 0;
        for (int i = 0; i < count; i++) {
            for (int k = 0; k < 3; k++) {
                sum[k] = sums[3 * i + k] / (samples * samples);
            }
            pixels[i] = Tones.packed(sum);
            outsidePixels += outside[i] ? 1 : 0;
        }
    }

    private void aim(int x0, int y0, int w, int h, double dx, double dy) {
        Vector3d eye = lens.eye(), way = new Vector3d();
        rays.size = 0;
        for (int y = 0; y < h; y++) {
            for (int x = 0; x < w; x++) {
                lens.direction((x0 + x + dx) / width, (y0 + y + dy) / height, way);
                rays.add((float) eye.x, (float) eye.y, (float) eye.z, (float) way.x, (float) way.y, (float) way.z, 0,
                        Float.POSITIVE_INFINITY);
            }
        }
    }

    private void trace() {
        Arrays.fill(met, 0, rays.size, NOTHING);
        Arrays.fill(nearest, 0, rays.size, Float.POSITIVE_INFINITY);
        for (int m = 0; m < scene.highs().size(); m++) {
            trace(scene.highs().get(m).tracer(), m);
        }
        OpenMesh low = scene.low();
        if (low != null) {
            trace(low.tracer(), LOW);
        }
        CageShape cage = scene.cage();
        if (cage != null) {
            cage.tracer().closestHits(rays, Facing.FRONT, shellHits);
        }
    }

    private void trace(RayTracer tracer, int which) {
        tracer.closestHits(rays, Facing.BOTH, hits);
        for (int i = 0; i < rays.size; i++) {
            if (hits.triangle[i] >= 0 && hits.t[i] < nearest[i]) {
                met[i] = which;
                nearest[i] = hits.t[i];
                triangles[i] = hits.triangle[i];
                b1[i] = hits.b1[i];
                b2[i] = hits.b2[i];
            }
        }
    }

    /** Writes the colour that a ray sees, linear, into {@link #rgb}; returns whether it is high poly outside the cage. */
    private boolean shade(int ray, double down) {
        if (met[ray] == NOTHING) {
            Tones.mix(scene.palette().above(), scene.palette().below(), down, rgb);
        } else {
            OpenMesh mesh = met[ray] == LOW ? scene.low() : scene.highs().get(met[ray]);
            if (mesh != null) {
                light.surface(mesh.shaded(), triangles[ray], b1[ray], b2[ray], rays, ray, met[ray] == LOW, rgb);
                if (met[ray] == LOW) {
                    double line = Edges.cover(mesh.mesh(), triangles[ray], b1[ray], b2[ray], scale * lens.pixelWidth(nearest[ray]));
                    Tones.blend(rgb, 0x10202A, 0.45 * line);
                }
            }
        }
        CageShape cage = scene.cage();
        if (cage == null) {
            return false;
        }
        boolean shell = shellHits.triangle[ray] >= 0;
        // What is in front of the shell, or beside it, no ray from the cage sees.
        boolean outside = met[ray] >= 0 && (!shell || nearest[ray] < shellHits.t[ray]);
        if (outside) {
            Tones.blend(rgb, scene.palette().outside(), OUTSIDE_COVER);
        } else if (shell && shellHits.t[ray] <= nearest[ray]) {
            double line = Edges.cover(cage.mesh(), shellHits.triangle[ray], shellHits.b1[ray], shellHits.b2[ray],
                    scale * lens.pixelWidth(shellHits.t[ray]));
            Tones.blend(rgb, scene.palette().shell(), SHELL_COVER);
            Tones.blend(rgb, scene.palette().line(), LINE_COVER * line);
        }
        return outside;
    }
}
