package org.estampage.raster;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.BitSet;
import java.util.List;
import java.util.concurrent.CancellationException;
import java.util.concurrent.ExecutionException;
import java.util.concurrent.ExecutorService;
import java.util.concurrent.Executors;
import java.util.concurrent.Future;
import java.util.concurrent.atomic.AtomicInteger;
import org.estampage.finding.Finding;
import org.estampage.finding.Findings;
import org.estampage.finding.Place;
import org.estampage.finding.Tally;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Labels;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;
import org.jspecify.annotations.Nullable;

/**
 * The first UV set of a mesh, ready to be cut into texel samples block by block.
 *
 * <p>A texel has n × n samples on a regular centred grid: sample (i, j) at ((i + ½)/n, (j + ½)/n) of the texel, row 0 on top. A triangle holds a
 * sample that lies inside it or on its left or top edge; so of the triangles around an edge or a corner exactly one holds a sample there, mirrored
 * ones included. Of several triangles that hold a sample, the foremost one keeps it: those of the part that charts are stacked from, if one was
 * declared, come before the others, among them the unmirrored before the mirrored, and among those the lower index before the higher. A triangle touches
 * a texel when their interiors meet: a chart that ends exactly at a texel's side does not touch the texel beyond. A texel that is touched and holds no
 * sample gets one: of the triangles that touch it, the point nearest to its centre, in texels; equal distances go to the foremost triangle.
 *
 * <p>What is left out: triangles without UV area, triangles with a UV that is not finite, and all that lies outside 0…1 or the UDIM tile;
 * {@link #findings} lists them. Nothing is wrapped around, so copies a whole number of units away are not baked.
 *
 * <p>How it stays exact: a UV is a float, and a float times an integer below 2²⁹ is exact in double. So coordinates are counted in half sample
 * steps, in which UVs are exact and samples are odd integers, and all decisions are signs of {@code Orientation}.
 *
 * @space uv, v up; texels, row 0 on top
 * @threads safe for concurrent calls, each with its own destination
 * @cost memory: 4 bytes a triangle and tile of 32² texels that it touches
 */
public final class UvRaster {
    /** The most samples that a texel may have along a side. */
    public static final int MAX_SAMPLES_PER_SIDE = 16;
    /** The longest side of an image in texels; half sample steps are below 2²⁵ then, and a UV times that is exact. */
    public static final int MAX_SIDE = 1 << 20;

    static final int TILE = 32;

    private final int width;
    private final int height;
    private final int n;
    private final int triangleCount;
    private final float[] uv;
    private final int[] indices;
    /** What a UV is multiplied by to count half sample steps. */
    private final double scaleU;
    private final double scaleV;
    /** The image's left and top edge in half sample steps. */
    private final double edgeLeft;
    private final double edgeTop;
    private final boolean udim;
    private final UvDeclaration declared;
    /** Whether a triangle is of the part that charts are stacked from. */
    private final BitSet preferred;
    private final BitSet mirrored = new BitSet();
    private final int tilesAcross;
    private final int tilesDown;
    private final int[] binStart;
    private final int[] bins;

    private UvRaster(Mesh low, int tileU, int tileV, boolean udim, int width, int height, int n, UvDeclaration declared) {
        this.width = width;
        this.height = height;
        this.n = n;
        this.declared = declared;
        triangleCount = low.triangleCount();
        Attribute set = low.uvSets().get(0);
        uv = set.values();
        indices = set.indices();
        scaleU = 2.0 * n * width;
        scaleV = 2.0 * n * height;
        edgeLeft = scaleU * tileU;
        edgeTop = scaleV * (tileV + 1.0);
        this.udim = udim;
        tilesAcross = (width + TILE - 1) / TILE;
        tilesDown = (height + TILE - 1) / TILE;
        preferred = preferred(low, declared);
        int[] foremostFirst = foremostFirst();
        binStart = new int[tilesAcross * tilesDown + 1];
        bin(foremostFirst, null);
        long total = 0;
        for (int i = 0; i < binStart.length; i++) {
            int count = binStart[i];
            binStart[i] = Math.toIntExact(total);
            total += count;
        }
        bins = new int[(int) total];
        bin(foremostFirst, bins);
        // Filling moved every start to its end: move them back.
        System.arraycopy(binStart, 0, binStart, 1, binStart.length - 1);
        binStart[0] = 0;
    }

    /** Returns {@link #of(Mesh, int, int, int, UvDeclaration)} of a mesh about whose charts nothing was declared. */
    public static UvRaster of(Mesh low, int width, int height, int samplesPerSide) {
        return of(low, width, height, samplesPerSide, UvDeclaration.NONE);
    }

    /**
     * Makes a raster of a mesh's first UV set.
     *
     * @param low            the mesh whose UVs are cut
     * @param width          the image's width in texels, 1 … 2²⁰
     * @param height         the image's height in texels, 1 … 2²⁰
     * @param samplesPerSide n for n × n samples a texel, 1 … 16
     * @param declared       what is meant by charts that overlap or lie outside
     * @throws IllegalArgumentException if the mesh has no UV set or lacks the part that charts are stacked from, or a number is out of its range
     * @cost time: one pass over the triangles and the tiles under each
     */
    public static UvRaster of(Mesh low, int width, int height, int samplesPerSide, UvDeclaration declared) {
        return make(low, 0, 0, false, width, height, samplesPerSide, declared);
    }

    /**
     * Makes a raster of one UDIM tile of a mesh's first UV set.
     *
     * @param low            the mesh whose UVs are cut
     * @param tile           which unit square of UV space
     * @param width          the tile's width in texels, 1 … 2²⁰
     * @param height         the tile's height in texels, 1 … 2²⁰
     * @param samplesPerSide n for n × n samples a texel, 1 … 16
     * @param declared       what is meant by charts that overlap; copies are not
     * @throws IllegalArgumentException if the mesh has no UV set or lacks the part that charts are stacked from, a number is out of its range, or charts
     *                                  outside were declared to be copies
     */
    public static UvRaster ofTile(Mesh low, UvTile tile, int width, int height, int samplesPerSide, UvDeclaration declared) {
        if (declared.copies()) {
            throw new IllegalArgumentException("copies: charts outside 0 to 1 are either copies or on tiles of their own");
        }
        return make(low, tile.column(), tile.row(), true, width, height, samplesPerSide, declared);
    }

    private static UvRaster make(Mesh low, int tileU, int tileV, boolean udim, int width, int height, int samplesPerSide,
            UvDeclaration declared) {
        if (low.uvSets().isEmpty()) {
            throw new IllegalArgumentException(low.title() + " has no UV set");
        }
        if (width < 1 || width > MAX_SIDE || height < 1 || height > MAX_SIDE || (long) width * height > Integer.MAX_VALUE) {
            throw new IllegalArgumentException(
                    "size " + width + " × " + height + " must be 1 … " + MAX_SIDE + " a side and below 2^31 texels in all");
        }
        if (samplesPerSide < 1 || samplesPerSide > MAX_SAMPLES_PER_SIDE) {
            throw new IllegalArgumentException("samplesPerSide = " + samplesPerSide + " must be 1 … " + MAX_SAMPLES_PER_SIDE);
        }
        return new UvRaster(low, tileU, tileV, udim, width, height, samplesPerSide, declared);
    }

    private static BitSet preferred(Mesh low, UvDeclaration declared) {
        BitSet of = new BitSet();
        String part = declared.stackedFrom();
        if (part == null) {
            return of;
        }
        Labels labels = low.partLabels();
        for (int t = 0; t < low.triangleCount(); t++) {
            if (labels.of(t) >= 0 && labels.names().get(labels.of(t)).equals(part)) {
                of.set(t);
            }
        }
        if (of.isEmpty()) {
            throw new IllegalArgumentException(
                    "stackedFrom = \"" + part + "\" must be a part of the mesh that has triangles; it has the parts " + labels.names());
        }
        return of;
    }

    /** Finds the mirrored triangles, and returns all that have a UV area in the order in which they claim samples. */
    private int[] foremostFirst() {
        Triangle t = new Triangle();
        BitSet usable = new BitSet();
        for (int i = 0; i < triangleCount; i++) {
            load(i, t);
            usable.set(i, t.finite && t.turn != 0);
            mirrored.set(i, t.turn < 0);
        }
        int[] order = new int[usable.cardinality()];
        int count = 0;
        for (int turn = 0; turn < 4; turn++) {
            for (int i = usable.nextSetBit(0); i >= 0; i = usable.nextSetBit(i + 1)) {
                if (preferred.get(i) == turn < 2 && mirrored.get(i) == (turn % 2 == 1)) {
                    order[count++] = i;
                }
            }
        }
        return order;
    }

    /**
     * Returns the UDIM tiles that triangles of a mesh's first UV set touch, by rising number; empty if none touches any.
     *
     * @throws IllegalArgumentException if the mesh has no UV set
     * @cost time: one pass over the triangles and the tiles under each
     */
    public static List<UvTile> tilesOf(Mesh low) {
        if (low.uvSets().isEmpty()) {
            throw new IllegalArgumentException(low.title() + " has no UV set");
        }
        BitSet touched = new BitSet();
        float[] uv = low.uvSets().get(0).values();
        int[] indices = low.uvSets().get(0).indices();
        Triangle t = new Triangle();
        for (int i = 0; i < indices.length; i += 3) {
            int a = 2 * indices[i], b = 2 * indices[i + 1], c = 2 * indices[i + 2];
            t.set(uv[a], uv[a + 1], uv[b], uv[b + 1], uv[c], uv[c + 1]);
            if (!t.finite || t.turn == 0) {
                continue;
            }
            int rowEnd = floorClamped(Math.ceil(t.maxY), 0, UvTile.ROWS), columnEnd = floorClamped(Math.ceil(t.maxX), 0, UvTile.COLUMNS);
            for (int row = floorClamped(t.minY, 0, UvTile.ROWS); row < rowEnd; row++) {
                for (int column = floorClamped(t.minX, 0, UvTile.COLUMNS); column < columnEnd; column++) {
                    if (t.touches(column, column + 1, row, row + 1)) {
                        touched.set(row * UvTile.COLUMNS + column);
                    }
                }
            }
        }
        return touched.stream().mapToObj(tile -> new UvTile(tile % UvTile.COLUMNS, tile / UvTile.COLUMNS)).toList();
    }

    /** Returns the image's width in texels. */
    public int width() {
        return width;
    }

    /** Returns the image's height in texels. */
    public int height() {
        return height;
    }

    /** Returns n of the n × n samples a texel. */
    public int samplesPerSide() {
        return n;
    }

    // ------------------------------------------------------------------------------------------------------------- blocks

    /**
     * Finds the samples of a block of texels.
     *
     * @param x    the block's first column
     * @param y    the block's first row, from the top
     * @param w    the block's width in texels; 0 is allowed
     * @param h    the block's height in texels; 0 is allowed
     * @param dest what is filled; all it held is lost
     * @throws IllegalArgumentException if the block is not inside the image, or could hold 2³¹ samples or more
     * @threads safe for concurrent calls with different destinations
     * @cost allocates nothing once {@code dest} has grown to the block's size (but see {@code Orientation} for UVs almost on a line with a
     *       sample and almost 0)
     */
    public void rasterise(int x, int y, int w, int h, TexelSamples dest) {
        if (x < 0 || y < 0 || w < 0 || h < 0 || x > width - w || y > height - h) {
            throw new IllegalArgumentException(
                    "block " + w + " × " + h + " at (" + x + ", " + y + ") must be inside " + width + " × " + height);
        }
        if ((long) w * h * n * n > Integer.MAX_VALUE - 8) {
            throw new IllegalArgumentException(
                    "block " + w + " × " + h + " with " + n + " × " + n + " samples a texel must hold fewer than 2^31 samples");
        }
        dest.begin(x, y, w, h);
        if (w == 0 || h == 0) {
            return;
        }
        Triangle triangle = dest.scratch;
        int texel = 0;
        for (int top = y; top < y + h;) {
            // One row of tiles at a time, so that texels come out in rows while each is treated by its own tile.
            int tileY = top / TILE;
            int bottom = Math.min(y + h, (tileY + 1) * TILE);
            dest.beginStrip(w * (bottom - top), w * n * (bottom - top) * n);
            for (int tileX = x / TILE; tileX * TILE < x + w; tileX++) {
                int left = Math.max(x, tileX * TILE);
                int right = Math.min(x + w, (tileX + 1) * TILE);
                int bin = tileY * tilesAcross + tileX;
                claimTile(bin, left, right, top, bottom, x, w * n, dest.owner, triangle);
                if (countSamples(left, right, top, bottom, x, w, dest)) {
                    nearestInTile(bin, left, right, top, bottom, x, w, dest, triangle);
                }
            }
            texel = emit(texel, x, w, top, bottom, dest, triangle);
            top = bottom;
        }
    }

    private void claimTile(int bin, int left, int right, int top, int bottom, int ownerX, int ownerStride, int[] owner, Triangle t) {
        for (int i = binStart[bin]; i < binStart[bin + 1]; i++) {
            load(bins[i], t);
            int rowEnd = endRow(t, top, bottom);
            for (int row = firstRow(t, top, bottom); row < rowEnd; row++) {
                double sy = edgeTop - (2 * row + 1);
                int begin = spanBegin(t, sy, left * n, right * n);
                int end = begin < right * n ? spanEnd(t, sy, begin, right * n) : begin;
                int base = (row - top * n) * ownerStride - ownerX * n;
                for (int column = begin; column < end; column++) {
                    if (owner[base + column] < 0) {
                        owner[base + column] = bins[i];
                    }
                }
            }
        }
    }

    /** Counts the samples of each texel of a tile; returns whether one has none. */
    private boolean countSamples(int left, int right, int top, int bottom, int x, int w, TexelSamples dest) {
        boolean some = false;
        for (int row = top; row < bottom; row++) {
            for (int column = left; column < right; column++) {
                int count = 0;
                for (int j = 0; j < n; j++) {
                    int base = (((row - top) * n + j) * w + column - x) * n;
                    for (int i = 0; i < n; i++) {
                        count += dest.owner[base + i] >= 0 ? 1 : 0;
                    }
                }
                int at = (row - top) * w + column - x;
                dest.sampleCount[at] = count;
                dest.nearestTriangle[at] = -1;
                some |= count == 0;
            }
        }
        return some;
    }

    private void nearestInTile(int bin, int left, int right, int top, int bottom, int x, int w, TexelSamples dest, Triangle t) {
        double step = 2.0 * n;
        for (int k = binStart[bin]; k < binStart[bin + 1]; k++) {
            load(bins[k], t);
            int rowBegin = Math.max(top, floorClamped((edgeTop - t.maxY) / step - 1, top, bottom));
            int rowEnd = Math.min(bottom, floorClamped((edgeTop - t.minY) / step + 2, top, bottom));
            for (int row = rowBegin; row < rowEnd; row++) {
                double high = edgeTop - step * row;
                double low = high - step;
                t.reach(low, high);
                // The reach is a rounded estimate: one texel more on either side, then the exact test.
                int begin = Math.max(left, floorClamped((t.reachMin - edgeLeft) / step - 1, left, right));
                int end = Math.min(right, floorClamped((t.reachMax - edgeLeft) / step + 2, left, right));
                for (int column = begin; column < end; column++) {
                    int at = (row - top) * w + column - x;
                    double side = edgeLeft + step * column;
                    if (dest.sampleCount[at] == 0 && t.touches(side, side + step, low, high)) {
                        t.nearest(side + n, low + n);
                        if (dest.nearestTriangle[at] < 0 || t.nearestSquared < dest.nearestSquared[at]) {
                            dest.nearestTriangle[at] = bins[k];
                            dest.nearestSquared[at] = t.nearestSquared;
                            dest.nearestB1[at] = t.nearestB1;
                            dest.nearestB2[at] = t.nearestB2;
                        }
                    }
                }
            }
        }
    }

    private int emit(int firstTexel, int x, int w, int top, int bottom, TexelSamples dest, Triangle t) {
        int texel = firstTexel;
        int at = dest.start[texel];
        int loaded = -1;
        for (int row = top; row < bottom; row++) {
            for (int column = 0; column < w; column++) {
                int local = (row - top) * w + column;
                int count = dest.sampleCount[local];
                if (count > 0) {
                    dest.room(at + count);
                    for (int j = 0; j < n; j++) {
                        int base = (((row - top) * n + j) * w + column) * n;
                        double sy = edgeTop - (2 * (row * n + j) + 1);
                        for (int i = 0; i < n; i++) {
                            int owner = dest.owner[base + i];
                            if (owner < 0) {
                                continue;
                            }
                            if (owner != loaded) {
                                load(owner, t);
                                loaded = owner;
                            }
                            double sx = edgeLeft + (2 * ((x + column) * n + i) + 1);
                            dest.triangle[at] = owner;
                            dest.b1[at] = (float) t.weight1(sx, sy);
                            dest.b2[at] = (float) t.weight2(sx, sy);
                            dest.sample[at++] = (short) (j * n + i);
                        }
                    }
                    dest.kind[texel] = count == n * n ? TexelSamples.FULL : TexelSamples.PARTIAL;
                } else if (dest.nearestTriangle[local] >= 0) {
                    dest.room(at + 1);
                    dest.triangle[at] = dest.nearestTriangle[local];
                    dest.b1[at] = (float) dest.nearestB1[local];
                    dest.b2[at] = (float) dest.nearestB2[local];
                    dest.sample[at++] = -1;
                    dest.kind[texel] = TexelSamples.NEAREST;
                } else {
                    dest.kind[texel] = TexelSamples.EMPTY;
                }
                dest.start[++texel] = at;
            }
        }
        return texel;
    }

    // ----------------------------------------------------------------------------------------------------------- findings

    /** Returns {@link #findings(Task, int)} of one thread, reporting to nobody. */
    public Findings findings() {
        return findings(Task.silent(), 1);
    }

    /**
     * Looks at all UVs and all samples and returns what deserves notice: kinds {@code uvs-not-finite}, {@code uvs-zero-area}, {@code uvs-outside}
     * (of a UDIM tile {@code uvs-across-tiles}) and {@code uvs-mirrored} count triangles; {@code overlapping-uvs} and, where triangles coincide or were
     * declared to be stacked, {@code stacked-uvs} count samples that more than one triangle holds. With {@link UvDeclaration#copies} the triangles that lie within another unit square
     * are not outside.
     *
     * @param task    told how many tiles are done; asked whether to go on
     * @param threads how many threads look, at least 1; the findings are the same for any number
     * @throws IllegalArgumentException if {@code threads} is below 1
     * @throws CancellationException    if the task is cancelled
     * @cost a pass over all samples, without barycentrics
     */
    public Findings findings(Task task, int threads) {
        if (threads < 1) {
            throw new IllegalArgumentException("threads = " + threads + " must be at least 1");
        }
        List<Finding> found = new ArrayList<>();
        Tally notFinite = new Tally();
        Tally zero = new Tally();
        Tally outside = new Tally();
        Tally mirrored = new Tally();
        Triangle t = new Triangle();
        for (int i = 0; i < triangleCount; i++) {
            load(i, t);
            if (!t.finite) {
                notFinite.add(new Place.Element("triangle", i));
                continue;
            }
            boolean beyond = t.minX > edgeLeft + scaleU || t.maxX < edgeLeft || t.minY > edgeTop || t.maxY < edgeTop - scaleV;
            if (udim && beyond) {
                continue; // a matter of another tile
            }
            if (t.turn == 0) {
                zero.add(new Place.Element("triangle", i));
            } else if (t.turn < 0) {
                mirrored.add(new Place.Element("triangle", i));
            }
            boolean within = t.minX >= edgeLeft && t.maxX <= edgeLeft + scaleU && t.minY >= edgeTop - scaleV && t.maxY <= edgeTop;
            // A chart that ends at a tile's side only meets the next tile's side, and lies in its own.
            if (!within && !(declared.copies() && isCopy(t))
                    && (!udim || t.touches(edgeLeft, edgeLeft + scaleU, edgeTop - scaleV, edgeTop))) {
                outside.add(new Place.Element("triangle", i));
            }
        }
        if (!notFinite.isEmpty()) {
            found.add(Finding.error("uvs-not-finite", notFinite.count(),
                    notFinite.count() + " triangles have UVs that are not finite numbers",
                    "Unwrap them anew; they get no texels.", notFinite.places()));
        }
        if (!zero.isEmpty()) {
            found.add(Finding.warning("uvs-zero-area", zero.count(), zero.count() + " triangles have no area in UV space",
                    "Unwrap them anew; they get no texels.", zero.places()));
        }
        if (!outside.isEmpty()) {
            found.add(udim
                    ? Finding.warning("uvs-across-tiles", outside.count(), outside.count() + " triangles reach across a UDIM tile's border",
                            "Keep each chart within one tile; texels at the border will not match.", outside.places())
                    : Finding.warning("uvs-outside", outside.count(),
                            outside.count() + (declared.copies()
                                    ? " triangles reach across the border of a unit square"
                                    : " triangles have UVs outside 0 to 1"),
                            declared.copies()
                                    ? "Move the charts so that each lies within one unit square; what lies outside is not baked."
                                    : "Declare UDIM tiles or whole-unit copies, or move the charts; what lies outside is not baked.",
                            outside.places()));
        }
        if (!mirrored.isEmpty()) {
            found.add(Finding.note("uvs-mirrored", mirrored.count(), mirrored.count() + " triangles are mirrored in UV space",
                    "Nothing, if that is meant; text and other one-sided detail reads backwards there.", mirrored.places()));
        }
        overlaps(task, threads, found);
        return Findings.of(found);
    }

    /** Returns whether a triangle lies within one unit square of UV space; the quotients are exact, being the UVs again. */
    private boolean isCopy(Triangle t) {
        return t.maxX / scaleU <= Math.floor(t.minX / scaleU) + 1 && t.maxY / scaleV <= Math.floor(t.minY / scaleV) + 1;
    }

    private void overlaps(Task task, int threads, List<Finding> found) {
        int tiles = tilesAcross * tilesDown;
        Overlaps[] ofTile = new Overlaps[tiles];
        AtomicInteger next = new AtomicInteger();
        Task.Stage stage = task.stage("looking for overlapping UVs", tiles);
        Runnable work = () -> {
            int[] owner = new int[TILE * TILE * n * n];
            Triangle t = new Triangle();
            for (int tile = next.getAndIncrement(); tile < tiles; tile = next.getAndIncrement()) {
                ofTile[tile] = overlapsOfTile(tile, owner, t);
                stage.advance(1);
            }
        };
        runOn(threads, work);
        Overlaps all = new Overlaps();
        for (Overlaps one : ofTile) {
            all.add(one);
        }
        if (all.count[Overlaps.MEANT] > 0) {
            found.add(Finding.note("stacked-uvs", all.count[Overlaps.MEANT],
                    all.count[Overlaps.MEANT] + " samples lie in charts that are stacked; " + all.taken(Overlaps.MEANT),
                    "Nothing, if that is meant; to take another side, name its part.",
                    all.places.get(Overlaps.MEANT)));
        }
        if (all.count[Overlaps.UNMEANT] > 0) {
            String remedy = declared.stackedFrom() == null
                    ? "Move the charts apart, or declare them stacked, or put them whole units aside, where sharing texels is meant."
                    : "Move the charts apart, or put them whole units aside where sharing texels is meant; the part that was declared settles nothing here.";
            found.add(Finding.warning("overlapping-uvs", all.count[Overlaps.UNMEANT],
                    all.count[Overlaps.UNMEANT] + " samples lie in more than one triangle; " + all.taken(Overlaps.UNMEANT), remedy,
                    all.places.get(Overlaps.UNMEANT)));
        }
    }

    /** Samples that more than one triangle holds: how many, why the one that has them has them, the first ones. */
    private static final class Overlaps {
        private static final int MEANT = 0;
        private static final int UNMEANT = 1;
        private final long[] count = new long[2];
        private final long[] byPart = new long[2];
        private final long[] bySide = new long[2];
        /** For the first sample of a tile: the texel, the triangle that keeps it, and the one that loses it. */
        private final List<List<Place>> places = List.of(new ArrayList<>(), new ArrayList<>());

        private void add(Overlaps more) {
            for (int k = 0; k < 2; k++) {
                count[k] += more.count[k];
                byPart[k] += more.byPart[k];
                bySide[k] += more.bySide[k];
                for (Place place : more.places.get(k)) {
                    if (places.get(k).size() < Finding.MAX_PLACES && !places.get(k).contains(place)) {
                        places.get(k).add(place);
                    }
                }
            }
        }

        /** Says which triangles were taken. */
        private String taken(int k) {
            List<String> sides = new ArrayList<>();
            if (byPart[k] > 0) {
                sides.add("the declared part for " + byPart[k]);
            }
            if (bySide[k] > 0) {
                sides.add("the unmirrored side for " + bySide[k]);
            }
            if (count[k] > byPart[k] + bySide[k]) {
                sides.add("the lowest triangle for " + (count[k] - byPart[k] - bySide[k]));
            }
            return String.join(", ", sides) + " was taken";
        }
    }

    private Overlaps overlapsOfTile(int tile, int[] owner, Triangle t) {
        int left = tile % tilesAcross * TILE;
        int top = tile / tilesAcross * TILE;
        int right = Math.min(width, left + TILE);
        int bottom = Math.min(height, top + TILE);
        int stride = (right - left) * n;
        Arrays.fill(owner, 0, stride * (bottom - top) * n, -1);
        Overlaps found = new Overlaps();
        for (int k = binStart[tile]; k < binStart[tile + 1]; k++) {
            load(bins[k], t);
            int rowEnd = endRow(t, top, bottom);
            for (int row = firstRow(t, top, bottom); row < rowEnd; row++) {
                double sy = edgeTop - (2 * row + 1);
                int begin = spanBegin(t, sy, left * n, right * n);
                int end = begin < right * n ? spanEnd(t, sy, begin, right * n) : begin;
                int base = (row - top * n) * stride - left * n;
                for (int column = begin; column < end; column++) {
                    int holder = owner[base + column];
                    if (holder == -1) {
                        owner[base + column] = bins[k];
                    } else if (holder >= 0) {
                        count(holder, bins[k], column / n, row / n, found);
                        owner[base + column] = -2 - holder; // counted once, however many more triangles come
                    }
                }
            }
        }
        return found;
    }

    private void count(int holder, int loser, int x, int y, Overlaps found) {
        boolean byPart = preferred.get(holder) && !preferred.get(loser);
        // A part that was declared settles what it is stacked with, and nothing else; exact copies are no accident.
        boolean declaredHere = declared.stackedFrom() == null ? declared.stacked() : byPart;
        int kind = declaredHere || coincide(holder, loser) ? Overlaps.MEANT : Overlaps.UNMEANT;
        if (found.count[kind]++ == 0) {
            found.places.get(kind)
                    .addAll(List.of(new Place.Texel(x, y), new Place.Element("triangle", holder), new Place.Element("triangle", loser)));
        }
        if (byPart) {
            found.byPart[kind]++;
        } else if (mirrored.get(loser) && !mirrored.get(holder)) {
            found.bySide[kind]++;
        }
    }

    private static void runOn(int threads, Runnable work) {
        if (threads == 1) {
            work.run();
            return;
        }
        try (ExecutorService pool = Executors.newFixedThreadPool(threads)) {
            List<Future<?>> futures = new ArrayList<>();
            for (int i = 0; i < threads; i++) {
                futures.add(pool.submit(work));
            }
            for (Future<?> future : futures) {
                future.get();
            }
        } catch (InterruptedException e) {
            Thread.currentThread().interrupt();
            throw new CancellationException("interrupted");
        } catch (ExecutionException e) {
            if (e.getCause() instanceof RuntimeException cause) {
                throw cause;
            }
            throw new IllegalStateException(e.getCause());
        }
    }

    // ----------------------------------------------------------------------------------------------------------- geometry

    /** Loads triangle {@code index}; the sign of its UV area is exact. */
    private void load(int index, Triangle t) {
        int i = 3 * index;
        int a = 2 * indices[i];
        int b = 2 * indices[i + 1];
        int c = 2 * indices[i + 2];
        t.set(uv[a] * scaleU, uv[a + 1] * scaleV, uv[b] * scaleU, uv[b + 1] * scaleV, uv[c] * scaleU, uv[c + 1] * scaleV);
    }

    /** Counts (dest null) or stores the triangles of each tile, in their order. */
    private void bin(int[] triangles, int @Nullable [] dest) {
        Triangle t = new Triangle();
        double side = 2.0 * n * TILE;
        for (int i : triangles) {
            load(i, t);
            // The quotients are rounded: one tile more on either side, then the exact test.
            int rowBegin = floorClamped((edgeTop - t.maxY) / side - 1, 0, tilesDown);
            int rowEnd = floorClamped((edgeTop - t.minY) / side + 2, 0, tilesDown);
            int columnBegin = floorClamped((t.minX - edgeLeft) / side - 1, 0, tilesAcross);
            int columnEnd = floorClamped((t.maxX - edgeLeft) / side + 2, 0, tilesAcross);
            for (int row = rowBegin; row < rowEnd; row++) {
                double high = edgeTop - row * side;
                for (int column = columnBegin; column < columnEnd; column++) {
                    if (t.touches(edgeLeft + column * side, edgeLeft + (column + 1) * side, high - side, high)) {
                        int at = row * tilesAcross + column;
                        if (dest != null) {
                            dest[binStart[at]] = i;
                        }
                        binStart[at]++;
                    }
                }
            }
        }
    }

    /** Returns whether two triangles have the same three UVs, in any order. */
    private boolean coincide(int a, int b) {
        for (int i = 3 * a; i < 3 * a + 3; i++) {
            boolean found = false;
            for (int j = 3 * b; j < 3 * b + 3; j++) {
                found |= uv[2 * indices[i]] == uv[2 * indices[j]] && uv[2 * indices[i] + 1] == uv[2 * indices[j] + 1];
            }
            if (!found) {
                return false;
            }
        }
        return true;
    }

    private int firstRow(Triangle t, int top, int bottom) {
        return floorClamped((edgeTop - t.maxY) / 2 - 1, top * n, bottom * n);
    }

    private int endRow(Triangle t, int top, int bottom) {
        return floorClamped((edgeTop - t.minY) / 2 + 1, top * n, bottom * n);
    }

    /** Returns the first of the columns {@code begin … end} of samples that is right of all left edges at height sy; {@code end} if none is. */
    private int spanBegin(Triangle t, double sy, int begin, int end) {
        int at = begin;
        if ((t.ay == t.by && !insideOfLevel(t.ax, t.bx, t.ay, sy)) || (t.by == t.cy && !insideOfLevel(t.bx, t.cx, t.by, sy))
                || (t.cy == t.ay && !insideOfLevel(t.cx, t.ax, t.cy, sy))) {
            return end;
        }
        if (t.by < t.ay) {
            at = firstRightOf(t.bx, t.by, t.ax, t.ay, sy, at, end);
        }
        if (t.cy < t.by) {
            at = firstRightOf(t.cx, t.cy, t.bx, t.by, sy, at, end);
        }
        if (t.ay < t.cy) {
            at = firstRightOf(t.ax, t.ay, t.cx, t.cy, sy, at, end);
        }
        return at;
    }

    /** Returns whether height sy lies on the inner side of a level edge; on the edge itself, whether it is a top edge. */
    private static boolean insideOfLevel(double fromX, double toX, double y, double sy) {
        return toX > fromX ? sy > y : sy <= y;
    }

    /** Returns the first of the columns {@code begin … end} of samples that is right of a right edge at height sy; {@code end} if none is. */
    private int spanEnd(Triangle t, double sy, int begin, int end) {
        int at = end;
        if (t.by > t.ay) {
            at = firstRightOf(t.ax, t.ay, t.bx, t.by, sy, begin, at);
        }
        if (t.cy > t.by) {
            at = firstRightOf(t.bx, t.by, t.cx, t.cy, sy, begin, at);
        }
        if (t.ay > t.cy) {
            at = firstRightOf(t.cx, t.cy, t.ax, t.ay, sy, begin, at);
        }
        return at;
    }

    /**
     * Returns the first of the columns {@code begin … end} of samples that lies on the line or right of it; {@code end} if none does. The line goes
     * upwards from p to q, so both triangles at an edge get the same answer.
     */
    private int firstRightOf(double px, double py, double qx, double qy, double sy, int begin, int end) {
        double x = px + (sy - py) / (qy - py) * (qx - px);
        int at = floorClamped(Math.ceil((x - edgeLeft - 1) / 2), begin, end);
        // The crossing is rounded; exact tests on both sides of it nearly always settle it. Otherwise halve what is left.
        int low = begin;
        int high = end;
        if (at < end) {
            if (rightOf(px, py, qx, qy, at, sy)) {
                high = at;
            } else {
                low = at + 1;
            }
        }
        if (high == at && at > begin) {
            if (!rightOf(px, py, qx, qy, at - 1, sy)) {
                return at;
            }
            high = at - 1;
        }
        while (low < high) {
            int middle = (low + high) >>> 1;
            if (rightOf(px, py, qx, qy, middle, sy)) {
                high = middle;
            } else {
                low = middle + 1;
            }
        }
        return low;
    }

    private boolean rightOf(double px, double py, double qx, double qy, int column, double sy) {
        return Orientation.sign(px, py, qx, qy, edgeLeft + (2 * column + 1), sy) <= 0;
    }

    /** Returns ⌊value⌋ between two bounds; a huge value gives a bound. */
    private static int floorClamped(double value, int low, int high) {
        return value <= low ? low : value >= high ? high : (int) Math.floor(value);
    }
}
