/**
 * Fixtures that the tests of every module share: generated meshes, published tables, closed-form scenes and small readers for open data.
 *
 * <p>Obeys: right-handed coordinates, Y up where a thing stands on something, triangles counter-clockwise seen from outside, UV origin at the lower
 * left; every generator gives the same bits on every machine and for every number of threads. Start reading at
 * {@link org.estampage.testresources.Shape}. Does not know the engine, so that nothing is checked with the code that it checks.
 */
@NullMarked
package org.estampage.testresources;

import org.jspecify.annotations.NullMarked;
