package org.estampage.preview;

/**
 * What a surface sends towards the viewer under {@link Lights}.
 *
 * @threads immutable
 */
final class Lighting {
    /** The key and the fill light are this wide for a mirror: no highlight is narrower, α. */
    private static final double LEAST_ALPHA = 0.02;
    /** A normal that looks away from the viewer, as a map can have it near an outline, is seen this steep. */
    private static final double LEAST_COSINE = 1e-3;

    private final Lights lights;

    Lighting(Lights lights) {
        this.lights = lights;
    }

    /**
     * Writes the radiance.
     *
     * @param vx   unit direction towards the viewer
     * @param vy   unit direction towards the viewer
     * @param vz   unit direction towards the viewer
     * @param lit  how much of the key light comes through, 0 … 1
     * @param open how much of the sky comes through, 0 … 1
     * @param dest red, green, blue
     */
    void write(Surface s, double vx, double vy, double vz, double lit, double open, double[] dest) {
        double nv = Math.max(LEAST_COSINE, s.nx * vx + s.ny * vy + s.nz * vz);
        double f0Red = headOn(s.red, s.metal), f0Green = headOn(s.green, s.metal), f0Blue = headOn(s.blue, s.metal);
        double matt = 1 - s.metal;
        // The sky: matt by what the mirror leaves, mirrored about the reflected direction.
        double sky = open * lights.skyOn(s.nx, s.ny, s.nz);
        double scale = MirroredShare.scale(Math.min(1, nv), s.roughness), bias = MirroredShare.bias(Math.min(1, nv), s.roughness);
        // A lobe of roughness 1 is about as wide as a cosine's, whose mean direction is 2/3 long.
        double lobe = 1 - s.roughness * s.roughness / 3;
        double mirrored = open * lights.skyMirrored(2 * nv * s.nx - vx, 2 * nv * s.ny - vy, 2 * nv * s.nz - vz, lobe);
        dest[0] = sky * (1 - f0Red * scale - bias) * s.red * matt + mirrored * (f0Red * scale + bias);
        dest[1] = sky * (1 - f0Green * scale - bias) * s.green * matt + mirrored * (f0Green * scale + bias);
        dest[2] = sky * (1 - f0Blue * scale - bias) * s.blue * matt + mirrored * (f0Blue * scale + bias);
        add(s, vx, vy, vz, nv, lights.key(), lit * lights.keyLight(), f0Red, f0Green, f0Blue, dest);
        add(s, vx, vy, vz, nv, lights.fill(), open * lights.fillLight(), f0Red, f0Green, f0Blue, dest);
    }

    private static double headOn(float colour, float metal) {
        return Shading.DIELECTRIC + metal * (colour - Shading.DIELECTRIC);
    }

    /** Adds a light from one direction; {@code strength} is π⁻¹ times what reaches a face that looks at it. */
    private static void add(Surface s, double vx, double vy, double vz, double nv, Vector light, double strength, double f0Red,
            double f0Green, double f0Blue, double[] dest) {
        double nl = light.dot(s.nx, s.ny, s.nz);
        if (!(nl > 0 && strength > 0)) {
            return;
        }
        double hx = light.x() + vx, hy = light.y() + vy, hz = light.z() + vz;
        double length = Math.sqrt(hx * hx + hy * hy + hz * hz);
        if (!(length > 0)) {
            return;
        }
        double nh = Math.min(1, Math.max(0, (s.nx * hx + s.ny * hy + s.nz * hz) / length)), vh = (vx * hx + vy * hy + vz * hz) / length;
        double alpha = Math.max(LEAST_ALPHA, (double) s.roughness * s.roughness);
        double glint = Math.PI * Shading.distribution(nh, alpha) * Shading.visibility(nl, nv, alpha), grazing = Shading.grazing(vh);
        double matt = 1 - s.metal, amount = nl * strength;
        dest[0] += amount * shared(f0Red, grazing, s.red * matt, glint);
        dest[1] += amount * shared(f0Green, grazing, s.green * matt, glint);
        dest[2] += amount * shared(f0Blue, grazing, s.blue * matt, glint);
    }

    private static double shared(double f0, double grazing, double matt, double glint) {
        double fresnel = f0 + (1 - f0) * grazing;
        return (1 - fresnel) * matt + fresnel * glint;
    }
}
