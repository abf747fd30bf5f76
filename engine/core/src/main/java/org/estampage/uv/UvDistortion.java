package org.estampage.uv;

/**
 * How much UVs distort a surface, whatever their scale: 1 everywhere is a similarity.
 *
 * <p>σ₁ ≥ σ₂ > 0 are the largest and the least stretch of a triangle's map from the mesh to texels. Means ⟨…⟩ are weighted with the area on the mesh, and
 * triangles without area on the mesh or in UV space take no part. A chart is measured at the scale that suits it best, which is where the square roots come
 * from; the values over several charts are the means of the charts' values.
 *
 * @param energy    the symmetric Dirichlet energy at the best scale, ½ √(⟨σ₁² + σ₂²⟩ ⟨σ₁⁻² + σ₂⁻²⟩): the same as {@link Unwrap}'s bound is about
 * @param area      the area distortion at the best scale, √(⟨σ₁σ₂⟩ ⟨1 / (σ₁σ₂)⟩)
 * @param angle     the angle distortion, ⟨σ₁ / σ₂⟩: the quasi-conformal error
 * @param stretch   the L² stretch √(½ ⟨σ₁⁻² + σ₂⁻²⟩ ⟨σ₁σ₂⟩): large where the image is too small for the surface
 * @param mostAngle the largest σ₁ / σ₂ of a triangle
 * @units none; 1 … ∞
 * @edge NaN where nothing can be measured: no triangle has an area on the mesh and in UV space
 * @threads immutable
 * @source the energy: Smith and Schaefer, Bijective Parameterization with Free Boundaries, 2015; the area: Degener, Meseth and Klein, An Adaptable Surface
 *         Parameterization Method, 2003, with the best scale put in; the stretch: Sander, Snyder, Gortler and Hoppe, Texture Mapping Progressive Meshes,
 *         2001, section 3; the quasi-conformal error: Kharevych, Springborn and Schröder, Discrete Conformal Mappings via Circle Patterns, 2006; all from
 *         memory
 */
public record UvDistortion(double energy, double area, double angle, double stretch, double mostAngle) {
}
