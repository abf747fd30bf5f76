/**
 * STL files: text and binary, welded into connected meshes.
 *
 * <p>Obeys: facets keep their order; corners at exactly equal positions become one vertex. Start reading at
 * {@link org.estampage.io.stl.StlFormat}. Does not keep facet normals: they are the triangles' own, and are only compared with them.
 */
@NullMarked
package org.estampage.io.stl;

import org.jspecify.annotations.NullMarked;
