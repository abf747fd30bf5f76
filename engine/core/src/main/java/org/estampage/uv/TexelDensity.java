package org.estampage.uv;

/**
 * How many texels there are for a mesh unit.
 *
 * @param mean  the square root of texels' area by area on the mesh
 * @param least in the worst direction of the worst triangle
 * @param most  in the best direction of the best triangle
 * @units texels a mesh unit
 * @edge 0 for all where no triangle has an area on the mesh and in UV space
 * @threads immutable
 */
public record TexelDensity(double mean, double least, double most) {
}
