package org.estampage.bake;

import java.util.Collections;
import java.util.List;
import org.estampage.finding.Finding;
import org.estampage.finding.Place;
import org.estampage.finding.Tally;
import org.estampage.image.FloatImage;
import org.estampage.image.Range;
import org.estampage.mesh.Bounds;
import org.estampage.mesh.Mesh;

/** The ranges of one map's channels, from what was baked of it on all tiles, or as the job gives them. */
final class MapRanges {
    private final String name;
    private final MapFormat format;
    private final List<Range> given;
    private final List<TileBake> tiles;
    private final int number;

    /**
     * Looks at a map of a job.
     *
     * @param number which of the job's maps
     * @param format its format, made ready for the job
     */
    MapRanges(BakeJob job, int number, MapFormat format, List<TileBake> tiles) {
        this.name = job.maps().get(number).name();
        this.given = job.ranges().getOrDefault(name, List.of());
        this.format = format;
        this.tiles = tiles;
        this.number = number;
    }

    List<Range> of(List<Mesh> highs) {
        if (!given.isEmpty()) {
            return given;
        }
        return switch (format.range()) {
            case RangeRule.Fixed fixed -> fixed.ranges();
            case RangeRule.HighPolyBounds bounds -> {
                Bounds b = Bounds.around(highs);
                yield List.of(new Range(b.minX(), b.maxX()), new Range(b.minY(), b.maxY()), new Range(b.minZ(), b.maxZ()));
            }
            case RangeRule.LargestMagnitude rule -> Collections.nCopies(format.channels(), Range.symmetric(largest(true)));
            case RangeRule.Largest rule -> Collections.nCopies(format.channels(), new Range(0, largest(false)));
        };
    }

    /** Adds what a given range cuts off. */
    void addFindings(List<Finding> findings) {
        if (given.isEmpty()) {
            return;
        }
        Tally outside = new Tally();
        forEachHit((x, y, channel, value) -> {
            Range range = given.get(channel);
            if (value < Math.min(range.atZero(), range.atOne()) || value > Math.max(range.atZero(), range.atOne())) {
                outside.add(new Place.Texel(x, y));
            }
        });
        if (!outside.isEmpty()) {
            findings.add(Finding.warning("range-exceeded", outside.count(),
                    outside.count() + " values of " + name
                            + " lie outside the range given for it and are cut off in files of whole numbers",
                    "give a larger range than " + given + ", leave it to the bake, or write floats", outside.places()));
        }
    }

    private float largest(boolean magnitude) {
        float[] largest = {0};
        forEachHit((x, y, channel, value) -> {
            // One value that is not finite must not cost the whole bake its range.
            if (Float.isFinite(value)) {
                largest[0] = Math.max(largest[0], magnitude ? Math.abs(value) : value);
            }
        });
        return largest[0];
    }

    private interface Visitor {
        void visit(int x, int y, int channel, float value);
    }

    private void forEachHit(Visitor visitor) {
        for (TileBake tile : tiles) {
            FloatImage image = tile.images.get(number).values();
            int w = image.width(), channels = image.channels();
            float[] row = new float[w * channels];
            for (int y = 0; y < image.height(); y++) {
                image.read(0, y, w, 1, row);
                for (int i = 0; i < row.length; i++) {
                    if (tile.hit.get(i / channels, y)) {
                        visitor.visit(i / channels, y, i % channels, row[i]);
                    }
                }
            }
        }
    }
}
