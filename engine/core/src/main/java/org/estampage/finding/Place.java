package org.estampage.finding;

import java.util.Locale;
import java.util.Objects;

/** Where something was found. A closed set, so that reports can draw every kind. */
public sealed interface Place {
    /**
     * A line of a text file.
     *
     * @param source the file's name
     * @param line   counted from 1
     */
    record Line(String source, long line) implements Place {
        /** Checks that there is a source. */
        public Line {
            Objects.requireNonNull(source, "source");
        }

        @Override
        public String toString() {
            return source + ":" + line;
        }
    }

    /**
     * A byte of a binary file.
     *
     * @param source the file's name
     * @param offset counted from 0
     */
    @SuppressWarnings("AvoidCommonTypeNames") // always read as Place.Byte, beside Place.Line and Place.Texel
    record Byte(String source, long offset) implements Place {
        /** Checks that there is a source. */
        public Byte {
            Objects.requireNonNull(source, "source");
        }

        @Override
        public String toString() {
            return source + " at byte " + offset;
        }
    }

    /**
     * An element of a mesh.
     *
     * @param what  "vertex", "triangle", "edge", "chart", "part" or the like
     * @param index counted from 0
     */
    record Element(String what, long index) implements Place {
        /** Checks that the kind is given. */
        public Element {
            Objects.requireNonNull(what, "what");
        }

        @Override
        public String toString() {
            return what + " " + index;
        }
    }

    /**
     * A point in object space.
     *
     * @param x first coordinate, in mesh units
     * @param y second coordinate
     * @param z third coordinate
     */
    record Point(float x, float y, float z) implements Place {
        @Override
        public String toString() {
            return String.format(Locale.ROOT, "(%.6g, %.6g, %.6g)", x, y, z);
        }
    }

    /**
     * A texel.
     *
     * @param x column, 0 on the left
     * @param y row, 0 on top
     */
    record Texel(int x, int y) implements Place {
        @Override
        public String toString() {
            return "texel (" + x + ", " + y + ")";
        }
    }
}
