package org.estampage.uv;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.HashMap;
import java.util.List;
import java.util.Map;

/**
 * Finds charts of one mesh that lie exactly on each other, or a whole number of units apart.
 *
 * @threads confined
 * @cost O(n log n) for n points of all charts, where few different charts begin at the same place
 */
final class Stacks {
    /** Coordinates may differ by so many roundings of floats: copies were moved by whole units, and back. */
    private static final double ROUNDINGS = 4;
    /** Charts of a stack differ by no more than this part of their area in UV space: the same outline may be cut into triangles otherwise. */
    private static final double SAME_AREA = 1e-3;
    /** Cells a unit that charts are looked up in by their lower left corners; far wider than rounding. */
    private static final int CELLS = 4096;

    /** A chart of a stack: where it lies beside the first one, in whole units. */
    record Member(KeptChart chart, int unitsRight, int unitsUp) {
        /** Whether it lies exactly on the first one. */
        boolean inPlace() {
            return unitsRight == 0 && unitsUp == 0;
        }

        /** Whether it lies exactly on another one of the stack. */
        boolean on(Member other) {
            return unitsRight == other.unitsRight && unitsUp == other.unitsUp;
        }
    }

    private final double aspect;
    private final boolean repeating;
    private final List<List<Member>> stacks = new ArrayList<>();
    /** Stacks by the cell of their first chart's corner; asked for single cells only. */
    private final Map<Integer, List<List<Member>>> byCell = new HashMap<>();

    /**
     * Starts without charts.
     *
     * @param aspect    the length of a unit of u
     * @param repeating whether charts whole units apart are copies wherever they lie; otherwise only if one lies outside of all tiles
     */
    Stacks(double aspect, boolean repeating) {
        this.aspect = aspect;
        this.repeating = repeating;
    }

    /** Puts a chart on the stack that it belongs to, or begins one. */
    void add(KeptChart chart) {
        int column = cell(chart.box[0] / aspect);
        int row = cell(chart.box[1]);
        for (int i = -1; i <= 1; i++) {
            for (int j = -1; j <= 1; j++) {
                for (List<Member> stack : byCell.getOrDefault(key(column + i, row + j), List.of())) {
                    KeptChart first = stack.get(0).chart();
                    int right = (int) Math.rint((chart.box[0] - first.box[0]) / aspect);
                    int up = (int) Math.rint(chart.box[1] - first.box[1]);
                    if ((repeating || (right == 0 && up == 0) || outside(first) != outside(chart)) && same(first, chart, right, up)) {
                        stack.add(new Member(chart, right, up));
                        return;
                    }
                }
            }
        }
        List<Member> stack = new ArrayList<>();
        stack.add(new Member(chart, 0, 0));
        stacks.add(stack);
        byCell.computeIfAbsent(key(column, row), k -> new ArrayList<>()).add(stack);
    }

    /** Returns the stacks in the order of their first charts; in each, a chart within the tiles comes first if there is one. To be called once. */
    List<List<Member>> stacks() {
        List<List<Member>> result = new ArrayList<>();
        for (List<Member> stack : stacks) {
            int within = 0;
            while (within < stack.size() && outside(stack.get(within).chart())) {
                within++;
            }
            Member origin = stack.remove(within == stack.size() ? 0 : within);
            List<Member> moved = new ArrayList<>();
            moved.add(new Member(origin.chart(), 0, 0));
            for (Member m : stack) {
                moved.add(new Member(m.chart(), m.unitsRight() - origin.unitsRight(), m.unitsUp() - origin.unitsUp()));
            }
            result.add(moved);
        }
        return result;
    }

    private static int cell(double coordinate) {
        return (int) ((coordinate - Math.floor(coordinate)) * CELLS);
    }

    private static int key(int column, int row) {
        return Math.floorMod(column, CELLS) * CELLS + Math.floorMod(row, CELLS);
    }

    /** Whether a chart lies left of the tiles, below them, or right of the tenth. */
    private boolean outside(KeptChart chart) {
        double slack = ROUNDINGS * chart.rounding();
        return chart.box[2] <= slack || chart.box[3] <= slack || chart.box[0] >= Room.TILES_IN_A_ROW * aspect - slack;
    }

    private boolean same(KeptChart a, KeptChart b, int right, int up) {
        double slack = ROUNDINGS * Math.max(a.rounding(), b.rounding());
        for (int side = 0; side < 4; side++) {
            double moved = a.box[side] + (side % 2 == 0 ? right * aspect : up);
            if (Math.abs(moved - b.box[side]) > slack) {
                return false;
            }
        }
        return Math.abs(a.uvArea - b.uvArea) <= SAME_AREA * a.uvArea && onEachOther(a, b, right, up, slack)
                && onEachOther(b, a, -right, -up, slack);
    }

    /** Whether every corner of a's outline, moved, is at one of b's. */
    private boolean onEachOther(KeptChart a, KeptChart b, int right, int up, double slack) {
        double[] from = corners(a, right * aspect, up);
        double[] to = corners(b, 0, 0);
        Integer[] byU = new Integer[to.length / 2];
        Arrays.setAll(byU, i -> i);
        Arrays.sort(byU, (i, j) -> Double.compare(to[2 * i], to[2 * j]));
        for (int i = 0; i < from.length; i += 2) {
            int low = 0;
            int high = byU.length;
            while (low < high) {
                int middle = (low + high) >>> 1;
                if (to[2 * byU[middle]] < from[i] - slack) {
                    low = middle + 1;
                } else {
                    high = middle;
                }
            }
            boolean found = false;
            for (; low < byU.length && !found && to[2 * byU[low]] <= from[i] + slack; low++) {
                found = Math.abs(to[2 * byU[low] + 1] - from[i + 1]) <= slack;
            }
            if (!found) {
                return false;
            }
        }
        return true;
    }

    private static double[] corners(KeptChart chart, double du, double dv) {
        Chart shape = chart.shape(-du, -dv, 1, 1);
        int[] corners = Arrays.stream(shape.outline()).sorted().distinct().toArray();
        double[] uv = new double[2 * corners.length];
        for (int i = 0; i < corners.length; i++) {
            uv[2 * i] = shape.uv[2 * corners[i]];
            uv[2 * i + 1] = shape.uv[2 * corners[i] + 1];
        }
        return uv;
    }
}
