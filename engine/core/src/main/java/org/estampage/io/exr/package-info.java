/**
 * OpenEXR files by our own code: raw half and float values, one map or several as named layers of one file.
 *
 * <p>Obeys: files are one part of scan lines, compressed without loss (ZIP), channels sorted by name; values are stored raw, colour is linear. Start
 * reading at {@link org.estampage.io.exr.ExrWriter} and {@link org.estampage.io.exr.ExrReader}. Does not read several parts, deep data,
 * subsampled channels or compression with loss.
 */
@NullMarked
package org.estampage.io.exr;

import org.jspecify.annotations.NullMarked;
