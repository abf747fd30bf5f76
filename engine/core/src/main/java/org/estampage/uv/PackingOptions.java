package org.estampage.uv;

import java.util.List;
import java.util.Objects;
import java.util.OptionalDouble;
import java.util.OptionalInt;
import org.estampage.task.Task;

/**
 * How charts are packed: the options that all operations share which pack charts, and what the options mean.
 *
 * @param <S> the operation, which the options return
 * @threads confined
 */
abstract sealed class PackingOptions<S extends PackingOptions<S>> permits Unwrap, KeptCharts {
    /** The most tiles. */
    public static final int MAX_TILES = 100;
    private static final int LEAST_SIDE = 16;
    private static final int MOST_SIDE = 65536;

    private int width = 2048;
    private int height = 2048;
    private boolean sized;
    private int tiles = 1;
    private boolean inRows;
    private OptionalDouble texelsPerUnit = OptionalDouble.empty();
    private OptionalInt gutterTexels = OptionalInt.empty();
    private OptionalInt borderTexels = OptionalInt.empty();
    private Task task = Task.silent();

    PackingOptions() {
    }

    /** Returns this object as what it is. */
    abstract S self();

    /**
     * Sets the size of the square image.
     *
     * @throws IllegalArgumentException if it is not 16 … 65536
     */
    public S size(int texels) {
        return size(texels, texels);
    }

    /**
     * Sets the size of the image.
     *
     * @throws IllegalArgumentException if a side is not 16 … 65536
     */
    public S size(int newWidth, int newHeight) {
        width = inRange("width", newWidth, LEAST_SIDE, MOST_SIDE);
        height = inRange("height", newHeight, LEAST_SIDE, MOST_SIDE);
        sized = true;
        return self();
    }

    /**
     * Sets the gap between charts; by default a 128th of the image's longer side, at least 1.
     *
     * @throws IllegalArgumentException if it is not 0 … 1024
     */
    public S gutterTexels(int texels) {
        gutterTexels = OptionalInt.of(inRange("texels", texels, 0, 1024));
        return self();
    }

    /**
     * Sets the gap to the image's border; by default half the gutter.
     *
     * @throws IllegalArgumentException if it is not 0 … 1024
     */
    public S borderTexels(int texels) {
        borderTexels = OptionalInt.of(inRange("texels", texels, 0, 1024));
        return self();
    }

    /**
     * Sets how many tiles (UDIM) there are, each of the image's size: the first at u = v = 0, ten in a row.
     *
     * @throws IllegalArgumentException if it is not 1 … {@value #MAX_TILES}
     */
    public S tiles(int count) {
        tiles = inRange("count", count, 1, MAX_TILES);
        return self();
    }

    /**
     * Sets the texel density, in texels a mesh unit. Without a size the smallest square is taken whose side is a power of two and on which all fits.
     * Without a density charts are as large as the size allows; what came out stands in the findings.
     *
     * @throws IllegalArgumentException if it is not finite and positive
     */
    public S texelsPerUnit(double density) {
        texelsPerUnit = OptionalDouble.of(inRange("density", density, Double.MIN_NORMAL, Double.MAX_VALUE));
        return self();
    }

    /** Packs charts by their rectangles only, in rows: an instant in place of seconds, for trials; much of the image stays empty. */
    public S packedInRows() {
        inRows = true;
        return self();
    }

    /** Sets who hears of the progress and may cancel. */
    public S task(Task newTask) {
        task = Objects.requireNonNull(newTask, "newTask");
        return self();
    }

    Task task() {
        return task;
    }

    static double inRange(String name, double value, double low, double high) {
        if (!(value >= low && value <= high)) {
            throw new IllegalArgumentException(name + " = " + value + " must be " + low + " … " + high);
        }
        return value;
    }

    static int inRange(String name, int value, int low, int high) {
        if (value < low || value > high) {
            throw new IllegalArgumentException(name + " = " + value + " must be " + low + " … " + high);
        }
        return value;
    }

    private Room room(int newWidth, int newHeight) {
        int gutter = gutterTexels.orElse(Math.max(1, Math.max(newWidth, newHeight) / 128));
        return new Room(newWidth, newHeight, gutter, borderTexels.orElse((gutter + 1) / 2), tiles);
    }

    /**
     * Packs charts.
     *
     * @param unit mesh units a unit of the charts
     * @edge no charts: no placements
     * @throws IllegalArgumentException if gutter and border leave no room, or the density asked for is too high for the size
     */
    Packed pack(List<Chart> charts, double unit) {
        Room room = room(width, height);
        if (charts.isEmpty()) {
            return new Packed(List.of(), room, 1);
        }
        if (texelsPerUnit.isEmpty()) {
            List<Placement> placed = new Packing(charts, room, inRows, task).largest();
            if (placed == null) {
                throw new IllegalArgumentException(
                        "gutterTexels = " + room.gutter() + ", borderTexels = " + room.border() + " must leave room for "
                                + charts.size() + " charts on " + width + " × " + height + " texels");
            }
            return new Packed(placed, room, density(charts, placed, unit));
        }
        double scale = texelsPerUnit.getAsDouble() * unit;
        List<Placement> placed = null;
        if (sized) {
            placed = new Packing(charts, room, inRows, task).at(scale);
        }
        for (int side = LEAST_SIDE; !sized && placed == null && side <= MOST_SIDE; side *= 2) {
            room = room(side, side);
            placed = new Packing(charts, room, inRows, task).at(scale);
        }
        if (placed == null) {
            List<Placement> most = new Packing(charts, room, inRows, task).largest();
            throw new IllegalArgumentException(
                    "texelsPerUnit = " + texelsPerUnit.getAsDouble() + " must let all charts fit on " + room.tiles()
                            + " × " + room.width() + " × " + room.height() + " texels"
                            + (most == null ? "" : ", which hold " + density(charts, most, unit)));
        }
        return new Packed(placed, room, texelsPerUnit.getAsDouble());
    }

    private static double density(List<Chart> charts, List<Placement> placed, double unit) {
        return placed.get(0).scale() / charts.get(0).weight / unit;
    }

    /** Where all charts lie, on what, and with how many texels a mesh unit. */
    record Packed(List<Placement> placements, Room room, double texelsPerUnit) {
    }
}
