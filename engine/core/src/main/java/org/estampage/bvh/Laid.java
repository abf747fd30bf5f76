package org.estampage.bvh;

/**
 * A tree laid out or moved.
 *
 * @param tree      what walks need
 * @param peakBytes the most bytes that making it took at one time, its own included, beside what it was made of
 */
record Laid<T>(T tree, long peakBytes) {
}
