/**
 * OBJ files with their MTL files: polygons, UVs, normals, vertex colours, names, groups, smoothing groups, materials.
 *
 * <p>Obeys: parts are the {@code o} lines, or the {@code g} lines where there are no {@code o} lines; UVs as they stand, v up. Start reading at
 * {@link org.estampage.io.obj.ObjFormat}. Does not read curves and free-form surfaces: they become findings.
 */
@NullMarked
package org.estampage.io.obj;

import org.jspecify.annotations.NullMarked;
