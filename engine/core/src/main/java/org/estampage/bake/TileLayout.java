package org.estampage.bake;

import java.util.Arrays;
import java.util.List;
import org.estampage.finding.Finding;
import org.estampage.finding.Place;
import org.estampage.finding.Tally;
import org.estampage.image.Mask;
import org.estampage.mesh.Mesh;
import org.estampage.raster.UvTile;
import org.estampage.uv.UvCharts;

/**
 * In which unit square of UV space each triangle of a low poly lies.
 *
 * @threads immutable
 */
final class TileLayout {
    /** Lies within no single square, or is so flat that it belongs to none. */
    private static final int NONE = Integer.MIN_VALUE;

    private final float[] uv;
    private final int[] corners;
    /** Each triangle's square; column {@link #NONE} where it reaches across borders. */
    private final int[] column;
    private final int[] row;
    private final boolean[] flat;

    TileLayout(Mesh low) {
        uv = low.uvSets().get(0).values();
        corners = low.uvSets().get(0).indices();
        int count = low.triangleCount();
        column = new int[count];
        row = new int[count];
        flat = new boolean[count];
        for (int t = 0; t < count; t++) {
            column[t] = square(t, 0);
            row[t] = square(t, 1);
            flat[t] = least(t, 0) == most(t, 0) || least(t, 1) == most(t, 1);
        }
    }

    private float least(int t, int axis) {
        return Math.min(at(3 * t, axis), Math.min(at(3 * t + 1, axis), at(3 * t + 2, axis)));
    }

    private float most(int t, int axis) {
        return Math.max(at(3 * t, axis), Math.max(at(3 * t + 1, axis), at(3 * t + 2, axis)));
    }

    private float at(int corner, int axis) {
        return uv[2 * corners[corner] + axis];
    }

    /** Returns in which column or row of unit squares a triangle lies; it may touch both borders. */
    private int square(int t, int axis) {
        double first = Math.floor(least(t, axis));
        // Beyond this no unit squares are told apart by floats.
        return most(t, axis) <= first + 1 && Math.abs(first) < 1 << 24 ? (int) first : NONE;
    }

    private boolean isAcross(int t) {
        return column[t] == NONE || row[t] == NONE;
    }

    /** Adds what there is to say about UDIM tiles: charts that don't lie on one, kinds {@code charts-across-tiles} and {@code uvs-outside-tiles}. */
    void addTileFindings(Mesh low, List<Finding> findings) {
        int[] charts = UvCharts.ofTriangles(low);
        int[] first = new int[Arrays.stream(charts).max().orElse(-1) + 1];
        Arrays.fill(first, -1);
        boolean[] across = new boolean[first.length];
        Tally crossing = new Tally();
        Tally outside = new Tally();
        for (int t = 0; t < charts.length; t++) {
            if (flat[t]) {
                continue;
            }
            int chart = charts[t];
            first[chart] = first[chart] < 0 ? t : first[chart];
            if (!across[chart] && (isAcross(t) || column[t] != column[first[chart]] || row[t] != row[first[chart]])) {
                across[chart] = true;
                crossing.add(new Place.Element("triangle", t));
            }
            if (!isAcross(t) && (column[t] < 0 || column[t] >= UvTile.COLUMNS || row[t] < 0 || row[t] >= UvTile.ROWS)) {
                outside.add(new Place.Element("triangle", t));
            }
        }
        if (crossing.count() > 0) {
            findings.add(Finding.warning("charts-across-tiles", crossing.count(),
                    crossing.count() + " charts reach across the border of their tile, first with these triangles",
                    "move each chart onto one tile; texels at the border will not match", crossing.places()));
        }
        if (outside.count() > 0) {
            findings.add(Finding.warning("uvs-outside-tiles", outside.count(), outside.count() + " triangles lie outside all tiles",
                    "move them to u from 0 to 10 and v from 0 on; they are not baked", outside.places()));
        }
    }

    /**
     * Adds a finding about copies that are none: triangles in other unit squares at whose place, whole units aside, no chart was baked; kind
     * {@code copies-of-nothing}.
     *
     * @param covered the texels of the square from 0 to 1 that a chart touches
     */
    void addCopyFindings(Mask covered, List<Finding> findings) {
        Tally lost = new Tally();
        for (int t = 0; t < column.length; t++) {
            if (flat[t] || isAcross(t) || (column[t] == 0 && row[t] == 0)) {
                continue;
            }
            double u = ((double) at(3 * t, 0) + at(3 * t + 1, 0) + at(3 * t + 2, 0)) / 3 - column[t];
            double v = ((double) at(3 * t, 1) + at(3 * t + 1, 1) + at(3 * t + 2, 1)) / 3 - row[t];
            int x = (int) Math.min(covered.width() - 1, u * covered.width());
            int y = (int) Math.min(covered.height() - 1, (1 - v) * covered.height());
            if (!covered.get(x, y)) {
                lost.add(new Place.Element("triangle", t));
            }
        }
        if (lost.count() > 0) {
            findings.add(Finding.warning("copies-of-nothing", lost.count(),
                    lost.count() + " triangles of copies lie, whole units aside, where no chart is baked",
                    "move them onto what they are to copy, or declare UDIM tiles; they show what lies there by chance", lost.places()));
        }
    }
}
