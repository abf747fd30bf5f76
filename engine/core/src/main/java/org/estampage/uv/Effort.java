package org.estampage.uv;

/** How far a flattening goes on. */
enum Effort {
    /** Until it is known what distortion can be had; for trials. */
    QUICK,
    /** Until nothing is gained any more; for what is kept. */
    FULL
}
