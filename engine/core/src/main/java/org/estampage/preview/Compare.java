package org.estampage.preview;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Objects;
import java.util.stream.IntStream;
import org.estampage.bake.BakeResult;
import org.estampage.bake.BakedTile;
import org.estampage.bvh.Facing;
import org.estampage.bvh.HitBatch;
import org.estampage.bvh.RayBatch;
import org.estampage.bvh.RayTracer;
import org.estampage.finding.Finding;
import org.estampage.finding.Findings;
import org.estampage.finding.Place;
import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.image.Mask;
import org.estampage.image.Range;
import org.estampage.mesh.Bounds;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.MeshSource;
import org.estampage.raster.UvTile;
import org.estampage.task.Task;
import org.jspecify.annotations.Nullable;

/**
 * Measures how much a low poly in its maps looks like its high poly, from many sides.
 *
 * <p>The views lie evenly around, without perspective, all at one scale; each pixel has one ray, through its middle, for each mesh, and meets fronts only.
 * The low poly's normal is decoded from the map at that very point, bilinear and without mips, so that what is measured is the bake, not the view's size.
 *
 * <p>As a gate:
 * {@snippet class = "org.estampage.cookbook.CookbookTest" region = "gate"}
 *
 * @threads confined; it works in the caller's fork-join pool, else in the common one, with the same values for any number of threads
 * @source the directions: Swinbank, Purser, Fibonacci grids: A novel approach to global modelling, 2006
 */
public final class Compare {
    /** What a pixel that is not matched counts in {@link Comparison#error}: as if its normal stood at a right angle. */
    public static final double UNMATCHED_DEGREES = 90;

    /** Surfaces farther from each other than this part of the high polys' diagonal are not taken for the same. */
    private static final double APART = 0.02;
    /** Depths are compared across the surface as steep as this, no steeper: at an outline everything lies along it. */
    private static final double LEAST_SLANT = 0.2;
    /** The turn from one direction to the next, in parts of a full one: the golden ratio's, 1 − 1/φ. */
    private static final double GOLDEN = (3 - Math.sqrt(5)) / 2;
    /** Rows a piece of work has. */
    private static final int ROWS = 16;
    /** A place whose mean is above this is worth a warning: one sees it at a glance. */
    private static final double FAR_OFF = 10;
    /** Outlines that differ by more than this share are worth a note. */
    private static final double OUTLINE = 0.03;

    private final Mesh low;
    private final BakeResult result;
    private final List<Mesh> highs = new ArrayList<>();
    private Dressing dressing;
    private int views = 24;
    private int size = 512;
    private int texels = 512;
    private double apart = Double.NaN;
    private @Nullable RayTracer tracer;
    private Task task = Task.silent();

    private Compare(Mesh low, BakeResult result, List<? extends MeshSource> highs) {
        this.low = low;
        this.result = result;
        if (highs.isEmpty()) {
            throw new IllegalArgumentException("highs: at least one high poly is needed");
        }
        highs.forEach(high -> this.highs.add(high.build()));
        dressing = Dressing.of(result);
    }

    /**
     * Starts a comparison of a low poly in the maps that were baked for it.
     *
     * @param low   with the normals and tangents it is delivered with; where it has none, those that a bake would give it
     * @param highs the high polys, at least one
     */
    public static Compare of(MeshSource low, BakeResult result, MeshSource... highs) {
        return new Compare(low.build(), Objects.requireNonNull(result, "result"), Arrays.asList(highs));
    }

    /** Sets what the low poly wears in place of the bake's maps, as the same maps read back from files; of it only the normals count. */
    public Compare dressed(Dressing value) {
        dressing = Objects.requireNonNull(value, "value");
        return this;
    }

    /**
     * Sets from how many sides; 24 by default.
     *
     * @throws IllegalArgumentException if it is not 1 … 512
     */
    public Compare views(int count) {
        views = Preview.inRange("views", count, 1, 512);
        return this;
    }

    /**
     * Sets the side of each view in pixels; 512 by default. All of the meshes fits in from any side.
     *
     * @throws IllegalArgumentException if it is not 16 … 4096
     */
    public Compare size(int pixels) {
        size = Preview.inRange("size", pixels, 16, 4096);
        return this;
    }

    /**
     * Sets the width of the picture over UV space, of each UDIM tile, in texels; 512 by default. Finer than the views, it has holes.
     *
     * @throws IllegalArgumentException if it is not 16 … 8192
     */
    public Compare texels(int width) {
        texels = Preview.inRange("texels", width, 16, 8192);
        return this;
    }

    /**
     * Sets how far from each other, across the surface, both meshes may be in a pixel to count as the same surface, in mesh units; by default a fiftieth of
     * the high polys' diagonal.
     *
     * @throws IllegalArgumentException if it is not a positive length
     */
    public Compare apartAbove(double length) {
        if (!(length > 0) || !Double.isFinite(length)) {
            throw new IllegalArgumentException("apartAbove = " + length + " must be a positive length");
        }
        apart = length;
        return this;
    }

    /**
     * Takes a tracer that was built for the very high poly, where there is one only.
     *
     * @throws IllegalArgumentException if there are several high polys, or it has another number of triangles
     */
    public Compare tracer(RayTracer ofHigh) {
        if (highs.size() != 1 || ofHigh.triangleCount() != highs.get(0).triangleCount()) {
            throw new IllegalArgumentException(
                    "the tracer has " + ofHigh.triangleCount() + " triangles, must be of the only high poly; there are "
                            + highs.size() + ", the first has " + highs.get(0).triangleCount());
        }
        tracer = ofHigh;
        return this;
    }

    /** Sets who hears of progress and can cancel. */
    public Compare task(Task value) {
        task = Objects.requireNonNull(value, "value");
        return this;
    }

    /** Compares under this task; otherwise as {@link #run()}. */
    public Comparison run(Task under) {
        return task(under).run();
    }

    /**
     * Compares.
     *
     * @throws org.estampage.mesh.InvalidMeshException    if a mesh has no triangles, values that are not finite, or the low poly no UVs
     * @throws java.util.concurrent.CancellationException if the task was cancelled
     * @cost a tracer for each mesh; two rays for each pixel and view; the views' angles, 4 bytes a pixel, are kept
     */
    public Comparison run() {
        return task.recalled(Comparison.Parts.class, this, () -> compared().parts()).whole();
    }

    private Comparison compared() {
        long rays = (long) views * size * size;
        Figure figure = Figure.of(low, dressing, null, rays, task);
        List<Figure> denses = highs.stream().map(high -> Figure.of(high, Dressing.bare(), tracer, rays, task)).toList();
        List<Mesh> all = new ArrayList<>(highs);
        all.add(low);
        Framing framing = new Framing(all);
        double limit = Double.isNaN(apart) ? APART * Bounds.around(highs).diagonal() : apart;
        Survey survey = new Survey(figure, denses, limit);
        AngleTally tally = new AngleTally();
        Worst worst = new Worst(Bounds.around(all));
        TexelMeans means = new TexelMeans(result, texels);
        List<Comparison.View> seen = new ArrayList<>();
        Task.Stage stage = task.stage("comparing", (long) views * ((size + ROWS - 1) / ROWS));
        for (int v = 0; v < views; v++) {
            Vector toward = direction(v, views);
            Pixels pixels = new Pixels(size);
            Camera camera = framing.flat(Aim.from(toward));
            IntStream.range(0, (size + ROWS - 1) / ROWS).parallel().forEach(piece -> {
                survey.look(camera, ROWS * piece, Math.min(size, ROWS * (piece + 1)), pixels);
                stage.advance(1);
            });
            AngleTally own = new AngleTally();
            for (int i = 0; i < size * size; i++) {
                boolean isMissed = pixels.triangle[i] >= 0 && means.isMissed(pixels.u[i], pixels.v[i]);
                own.add(pixels.angle[i], isMissed);
                tally.add(pixels.angle[i], isMissed);
                if (pixels.angle[i] >= 0) {
                    worst.add(pixels, i, v);
                    means.add(pixels.u[i], pixels.v[i], pixels.angle[i]);
                }
            }
            FloatImage angles = FloatImage.create(size, size, Encoding.data(new Range(0, 180), 1), task.memory());
            angles.write(0, 0, size, size, pixels.angle);
            seen.add(new Comparison.View(toward.x(), toward.y(), toward.z(), own.error(), angles));
        }
        List<Comparison.Spot> spots = worst.spots(means);
        return new Comparison(seen, tally, spots, means.image(), findings(tally, spots));
    }

    /** Returns direction {@code i} of {@code n} even ones: as many steps down from the pole, each turned by the golden ratio's part of a turn. */
    static Vector direction(int i, int n) {
        double y = 1 - (2 * i + 1.0) / n, across = Math.sqrt(Math.max(0, 1 - y * y)), turn = i * GOLDEN;
        double angle = 2 * Math.PI * (turn - Math.floor(turn));
        return new Vector(across * StrictMath.cos(angle), y, across * StrictMath.sin(angle));
    }

    private static Findings findings(AngleTally tally, List<Comparison.Spot> spots) {
        List<Finding> findings = new ArrayList<>();
        List<Comparison.Spot> off = spots.stream().filter(spot -> spot.meanDegrees() > FAR_OFF).toList();
        if (!off.isEmpty()) {
            findings.add(Finding.warning("normals-far-off", off.size(),
                    off.size() + " of the worst places differ by more than " + (int) FAR_OFF + "° on average",
                    "look at picture() and texelPicture(); more texels or triangles there, hard edges with seams, or the other green",
                    off.stream().<Place>map(spot -> new Place.Point(spot.x(), spot.y(), spot.z())).toList()));
        }
        if (tally.missed() > 0) {
            findings.add(Finding.warning("missed-surface-seen", tally.missed(),
                    tally.missed() + " pixels show texels that met nothing of the high poly", "see the bake's own findings for the causes",
                    List.of()));
        }
        if (tally.share(tally.outline()) > OUTLINE) {
            findings.add(Finding.note("outline-differs", tally.outline(), tally.outline() + " pixels are covered by one of the meshes only",
                    "no map can mend an outline: more triangles where picture() is green or violet", List.of()));
        }
        return Findings.of(findings);
    }

    /** What the pixels of a view show. */
    private static final class Pixels {
        final float[] angle;
        /** The low poly's triangle, −1 for none. */
        final int[] triangle;
        final float[] xyz;
        final double[] u;
        final double[] v;

        Pixels(int size) {
            int count = size * size;
            angle = new float[count];
            triangle = new int[count];
            xyz = new float[3 * count];
            u = new double[count];
            v = new double[count];
        }
    }

    /** Both meshes under the same rays. */
    private final class Survey {
        private final Figure lowFigure;
        private final List<Figure> highFigures;
        private final double limit;

        Survey(Figure lowFigure, List<Figure> highFigures, double limit) {
            this.lowFigure = lowFigure;
            this.highFigures = highFigures;
            this.limit = limit;
        }

        void look(Camera camera, int firstRow, int endRow, Pixels dest) {
            int count = (endRow - firstRow) * size, first = firstRow * size;
            RayBatch rays = new RayBatch(count);
            for (int i = 0; i < count; i++) {
                int row = firstRow + i / size;
                camera.add((i % size + 0.5) / size, (row + 0.5) / size, rays);
            }
            HitBatch lows = new HitBatch(count);
            lowFigure.tracer.closestHits(rays, Facing.FRONT, lows);
            List<HitBatch> hits = new ArrayList<>();
            for (Figure high : highFigures) {
                HitBatch batch = new HitBatch(count);
                high.tracer.closestHits(rays, Facing.FRONT, batch);
                hits.add(batch);
            }
            Surface a = new Surface(), b = new Surface();
            float[] scratch = new float[8];
            for (int i = 0; i < count; i++) {
                int nearest = nearest(hits, i);
                int t = lows.triangle[i];
                dest.triangle[first + i] = t;
                dest.angle[first + i] = nearest < 0 ? Comparison.NOTHING : Comparison.ONLY_HIGH;
                if (t < 0) {
                    continue;
                }
                double dx = rays.directionX[i], dy = rays.directionY[i], dz = rays.directionZ[i];
                lowFigure.read(t, lows.b1[i], lows.b2[i], dx, dy, dz, 0, scratch, a);
                dest.u[first + i] = a.u;
                dest.v[first + i] = a.v;
                dest.xyz[3 * (first + i)] = (float) a.px;
                dest.xyz[3 * (first + i) + 1] = (float) a.py;
                dest.xyz[3 * (first + i) + 2] = (float) a.pz;
                dest.angle[first + i] = Comparison.ONLY_LOW;
                if (nearest >= 0) {
                    HitBatch hit = hits.get(nearest);
                    highFigures.get(nearest).read(hit.triangle[i], hit.b1[i], hit.b2[i], dx, dy, dz, 0, scratch, b);
                    double slant = Math.max(LEAST_SLANT, Math.abs(a.fx * dx + a.fy * dy + a.fz * dz));
                    double gap = Math.abs((double) lows.t[i] - hit.t[i]) * slant;
                    dest.angle[first + i] = gap <= limit ? (float) angle(a, b) : Comparison.APART;
                }
            }
        }

        /** Returns the number of the batch whose hit is nearest, the first of equals, −1 where there is none. */
        private static int nearest(List<HitBatch> hits, int i) {
            int nearest = -1;
            for (int h = 0; h < hits.size(); h++) {
                if (hits.get(h).triangle[i] >= 0 && (nearest < 0 || hits.get(h).t[i] < hits.get(nearest).t[i])) {
                    nearest = h;
                }
            }
            return nearest;
        }

        private static double angle(Surface a, Surface b) {
            double x = a.ny * b.nz - a.nz * b.ny, y = a.nz * b.nx - a.nx * b.nz, z = a.nx * b.ny - a.ny * b.nx;
            return StrictMath.toDegrees(StrictMath.atan2(Math.sqrt(x * x + y * y + z * z), a.nx * b.nx + a.ny * b.ny + a.nz * b.nz));
        }
    }

    /** Angles by cells of space, to find where most of them come from. */
    private static final class Worst {
        /** Cells along the longest side: each is a few pixels wide and more. */
        private static final int CELLS = 24;

        private final Bounds bounds;
        private final double cell;
        private final double[] sums = new double[CELLS * CELLS * CELLS];
        private final int[] counts = new int[sums.length];
        private final float[] worst = new float[sums.length];
        private final int[] views = new int[sums.length];
        private final int[] triangles = new int[sums.length];
        private final float[] xyz = new float[3 * sums.length];
        private final double[] us = new double[sums.length];
        private final double[] vs = new double[sums.length];
        private double total;

        Worst(Bounds bounds) {
            this.bounds = bounds;
            cell = Math.max(bounds.longestSide() / CELLS, Float.MIN_NORMAL);
        }

        private int along(float at, float least) {
            return Math.clamp((long) (((double) at - least) / cell), 0, CELLS - 1);
        }

        void add(Pixels pixels, int i, int view) {
            float x = pixels.xyz[3 * i], y = pixels.xyz[3 * i + 1], z = pixels.xyz[3 * i + 2];
            int c = (along(z, bounds.minZ()) * CELLS + along(y, bounds.minY())) * CELLS + along(x, bounds.minX());
            float angle = pixels.angle[i];
            sums[c] += angle;
            total += angle;
            counts[c]++;
            if (counts[c] == 1 || angle > worst[c]) {
                worst[c] = angle;
                views[c] = view;
                triangles[c] = pixels.triangle[i];
                xyz[3 * c] = x;
                xyz[3 * c + 1] = y;
                xyz[3 * c + 2] = z;
                us[c] = pixels.u[i];
                vs[c] = pixels.v[i];
            }
        }

        List<Comparison.Spot> spots(TexelMeans means) {
            return IntStream.range(0, sums.length).filter(c -> sums[c] > 0).boxed()
                    .sorted((a, b) -> sums[a] != sums[b] ? Double.compare(sums[b], sums[a]) : Integer.compare(a, b))
                    .limit(Finding.MAX_PLACES)
                    .map(c -> new Comparison.Spot(xyz[3 * c], xyz[3 * c + 1], xyz[3 * c + 2], means.tile(us[c], vs[c]),
                            means.texelX(us[c]), means.texelY(vs[c]), triangles[c], views[c], sums[c] / counts[c], worst[c],
                            sums[c] / total))
                    .toList();
        }
    }

    /** Angles by texels, and which texels missed. */
    private static final class TexelMeans {
        private final BakeResult result;
        private final boolean udim;
        private final int width;
        private final int height;
        private final double[] sums;
        private final int[] counts;

        TexelMeans(BakeResult result, int width) {
            this.result = result;
            this.width = width;
            udim = result.job().isUdim();
            height = Math.max(1, (int) Math.round((double) width * result.job().height() / result.job().width()));
            sums = new double[Math.multiplyExact(Math.multiplyExact(width, height), result.tiles().size())];
            counts = new int[sums.length];
        }

        /** Returns which tile's image a place is on. */
        UvTile tile(double u, double v) {
            return udim && u >= 0 && u < UvTile.COLUMNS && v >= 0 && v < UvTile.ROWS
                    ? new UvTile((int) Math.floor(u), (int) Math.floor(v))
                    : UvTile.UNIT;
        }

        private int number(double u, double v) {
            UvTile tile = tile(u, v);
            for (int n = 0; n < result.tiles().size(); n++) {
                if (result.tiles().get(n).tile().equals(tile)) {
                    return n;
                }
            }
            return -1;
        }

        int texelX(double u) {
            return column(u, result.job().width());
        }

        int texelY(double v) {
            return row(v, result.job().height());
        }

        private static int column(double u, int w) {
            return Math.clamp((long) ((u - Math.floor(u)) * w), 0, w - 1);
        }

        private static int row(double v, int h) {
            return Math.clamp((long) ((1 - (v - Math.floor(v))) * h), 0, h - 1);
        }

        boolean isMissed(double u, double v) {
            int n = number(u, v);
            if (n < 0) {
                return true; // no chart was baked on that tile
            }
            BakedTile tile = result.tiles().get(n);
            Mask covered = tile.covered();
            int x = column(u, covered.width()), y = row(v, covered.height());
            return covered.get(x, y) && !tile.hit().get(x, y);
        }

        void add(double u, double v, float angle) {
            int n = number(u, v);
            if (n >= 0) {
                int at = (n * height + row(v, height)) * width + column(u, width);
                sums[at] += angle;
                counts[at]++;
            }
        }

        FloatImage image() {
            int tiles = result.tiles().size();
            FloatImage image = FloatImage.create(width * tiles, height, Encoding.data(new Range(0, 180), 1));
            float[] row = new float[width];
            for (int i = 0; i < tiles * height; i++) {
                for (int x = 0; x < width; x++) {
                    int at = i * width + x;
                    row[x] = counts[at] > 0 ? (float) (sums[at] / counts[at]) : Comparison.NOTHING;
                }
                image.write(i / height * width, i % height, width, 1, row);
            }
            return image;
        }
    }
}
