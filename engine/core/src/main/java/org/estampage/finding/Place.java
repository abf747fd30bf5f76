package org.estampage.finding;

import java.util.Locale;
import java.util.Objects;

/** Where something was found. A closed set, so that reports can draw every kind. */
public sealed interface Place {
    /** A line of a text file, counted from 1. */
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

    /** A byte of a binary file, counted from 0. */
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

    /** An element of a mesh: {@code what} is "vertex", "triangle", "edge", "chart", "part" or the like, {@code index} counts from 0. */
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

    /** A point in object space, in mesh units. */
    record Point(float x, float y, float z) implements Place {
        @Override
        public String toString() {
            return String.format(Locale.ROOT, "(%.6g, %.6g, %.6g)", x, y, z);
        }
    }

    /** A texel; row 0 on top. */
    record Texel(int x, int y) implements Place {
        @Override
        public String toString() {
            return "texel (" + x + ", " + y + ")";
        }
    }
}
