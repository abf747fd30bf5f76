package org.estampage.raster;

import org.jspecify.annotations.Nullable;

/**
 * What was said about charts that overlap and charts outside 0 … 1, so that what is meant can be told from what went wrong.
 *
 * @param copies      whether charts that lie within another unit square are copies that show the texels of the first one
 * @param stacked     whether charts that overlap are stacked on purpose
 * @param stackedFrom the part whose triangles come before all others where charts are stacked; null for none
 * @threads immutable
 */
public record UvDeclaration(boolean copies, boolean stacked, @Nullable String stackedFrom) {
    /** Nothing was said. */
    public static final UvDeclaration NONE = new UvDeclaration(false, false, null);

    /**
     * Checks that the parts agree.
     *
     * @throws IllegalArgumentException if there is a part that charts are stacked from, and they are not stacked
     */
    public UvDeclaration {
        if (stackedFrom != null && !stacked) {
            throw new IllegalArgumentException("stackedFrom = \"" + stackedFrom + "\" needs stacked charts");
        }
    }

    /** Returns this with charts in other unit squares declared to be copies. */
    public UvDeclaration withCopies() {
        return new UvDeclaration(true, stacked, stackedFrom);
    }

    /** Returns this with overlapping charts declared to be stacked; the unmirrored side is taken. */
    public UvDeclaration withStacked() {
        return new UvDeclaration(copies, true, null);
    }

    /** Returns this with overlapping charts declared to be stacked over a part's: that part's are taken. */
    public UvDeclaration withStackedFrom(String part) {
        return new UvDeclaration(copies, true, part);
    }
}
