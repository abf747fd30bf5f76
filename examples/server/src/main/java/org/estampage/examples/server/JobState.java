package org.estampage.examples.server;

import java.util.Locale;

/** How far a job has come. */
enum JobState {
    /** It takes meshes. */
    WAITING,
    /** It waits for its turn. */
    QUEUED,
    /** It is being baked. */
    BAKING,
    /** Its maps are there. */
    DONE,
    /** It could not be baked; its problem says why. */
    FAILED,
    /** It was cancelled. */
    CANCELLED;

    /** Returns whether nothing will happen to it any more. */
    boolean isEnd() {
        return this == DONE || this == FAILED || this == CANCELLED;
    }

    /** Returns its name as clients see it. */
    String id() {
        return name().toLowerCase(Locale.ROOT);
    }
}
