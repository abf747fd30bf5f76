/**
 * Acceleration structures and their queries: closest hit, any hit, nearest point, hemispheres.
 *
 * <p>Obeys: the triangle test is a pure function of the ray and the float vertices, so every strategy gives the same bits; ties go to the smaller
 * distance, then to the lower triangle number. Start reading at {@link org.estampage.bvh.RayTracer}. Does not know what rays are for.
 */
@NullMarked
package org.estampage.bvh;

import org.jspecify.annotations.NullMarked;
