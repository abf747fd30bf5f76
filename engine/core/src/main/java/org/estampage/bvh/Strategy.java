package org.estampage.bvh;

import java.util.Objects;

/**
 * How rays are answered: a way to build trees and a way to lay them out and walk them. Any two can be combined, and all give the same answers.
 *
 * @param builder makes the tree
 * @param layout  holds and walks it
 */
public record Strategy(TreeBuilder builder, TreeLayout layout) {
    /** Checks that nothing is null. */
    public Strategy {
        Objects.requireNonNull(builder, "builder");
        Objects.requireNonNull(layout, "layout");
    }

    /** Returns both names, as in "binned SAH, binary". */
    @Override
    public String toString() {
        return builder + ", " + layout;
    }
}
