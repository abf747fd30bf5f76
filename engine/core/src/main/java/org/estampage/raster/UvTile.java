package org.estampage.raster;

/**
 * A unit square of UV space that is baked to an image of its own.
 *
 * @param column counted along u from 0; a row has ten
 * @param row    counted along v from 0
 * @threads immutable
 */
public record UvTile(int column, int row) implements Comparable<UvTile> {
    /** Columns of the numbering. */
    public static final int COLUMNS = 10;
    /** Rows of the numbering: the last tile has the number 10000. */
    public static final int ROWS = 900;
    /** The square from 0 to 1. */
    public static final UvTile UNIT = new UvTile(0, 0);

    /**
     * Checks the place.
     *
     * @throws IllegalArgumentException if {@code column} is not 0 … 9 or {@code row} not 0 … 899
     */
    public UvTile {
        if (column < 0 || column >= COLUMNS || row < 0 || row >= ROWS) {
            throw new IllegalArgumentException("tile (" + column + ", " + row + ") must be within 0 … 9 and 0 … 899");
        }
    }

    /**
     * Returns the tile of a UDIM number.
     *
     * @throws IllegalArgumentException if {@code number} is not 1001 … 10000
     */
    public static UvTile of(int number) {
        int last = 1000 + COLUMNS * ROWS;
        if (number < 1001 || number > last) {
            throw new IllegalArgumentException("tile = " + number + " must be 1001 … " + last);
        }
        return new UvTile((number - 1001) % COLUMNS, (number - 1001) / COLUMNS);
    }

    /** Returns the tile's UDIM number: 1001 + column + 10 · row. */
    public int number() {
        return 1001 + column + COLUMNS * row;
    }

    /** Compares numbers. */
    @Override
    public int compareTo(UvTile other) {
        return Integer.compare(number(), other.number());
    }

    @Override
    public String toString() {
        return "tile " + number();
    }
}
