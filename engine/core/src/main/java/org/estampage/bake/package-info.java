/**
 * The bake: what is baked ({@link org.estampage.bake.BakeJob}, a value), how ({@link org.estampage.bake.Baker}), and the contract that every map
 * type fulfils ({@link org.estampage.bake.SurfaceMap}).
 *
 * <p>Obeys: samples are the same for any number of threads, block size and batch size. Start reading at {@code BakeJob}. Does not know any
 * particular map and writes no files.
 */
@NullMarked
package org.estampage.bake;

import org.jspecify.annotations.NullMarked;
