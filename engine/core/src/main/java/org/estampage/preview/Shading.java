package org.estampage.preview;

/**
 * How a surface sends light on: Lambert below, a microfacet surface above, by metal and roughness.
 *
 * @units the dots n·l, n·v, n·h, v·h of unit vectors; α is the roughness squared
 * @threads stateless
 * @source glTF 2.0, appendix B.3; Walter et al., Microfacet Models for Refraction through Rough Surfaces, 2007, equation 33 (distribution); Heitz,
 *         Understanding the Masking-Shadowing Function, JCGT 2014, equation 99 (visibility); Schlick, An Inexpensive BRDF Model, 1994, equation 15
 *         (Fresnel); Burley, Physically-Based Shading at Disney, 2012, section 5.4 (α = roughness²)
 */
final class Shading {
    /** How much a surface that is not metal mirrors head on: an index of refraction of 1.5. */
    static final float DIELECTRIC = 0.04f;

    private Shading() {
    }

    /** Returns the density of microfacet normals, per steradian. */
    static double distribution(double nh, double alpha) {
        double a2 = alpha * alpha, d = nh * nh * (a2 - 1) + 1;
        return a2 / (Math.PI * d * d);
    }

    /** Returns masking and shadowing over 4 · n·l · n·v. */
    static double visibility(double nl, double nv, double alpha) {
        double a2 = alpha * alpha;
        double sum = nl * Math.sqrt(nv * nv * (1 - a2) + a2) + nv * Math.sqrt(nl * nl * (1 - a2) + a2);
        return sum > 0 ? 0.5 / sum : 0;
    }

    /** Returns (1 − v·h)⁵: how far the reflectance has gone from what it is head on to 1. */
    static double grazing(double vh) {
        double x = 1 - Math.abs(vh), x2 = x * x;
        return x2 * x2 * x;
    }
}
