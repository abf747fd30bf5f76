package org.estampage.preview;

import java.util.EnumMap;
import java.util.HashMap;
import java.util.Map;
import java.util.SortedMap;
import java.util.TreeMap;
import org.estampage.bake.FrameRule;
import org.estampage.bvh.Bvh;
import org.estampage.bvh.RayTracer;
import org.estampage.bvh.StrategyChoice;
import org.estampage.image.FloatImage;
import org.estampage.image.RepeatedImage;
import org.estampage.image.Srgb;
import org.estampage.internal.kernel.RayStart;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.FacetNormals;
import org.estampage.mesh.InvalidMeshException;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.MeshCheck;
import org.estampage.mesh.Normals;
import org.estampage.mesh.Tangents;
import org.estampage.raster.UvTile;
import org.estampage.task.Task;
import org.jspecify.annotations.Nullable;

/**
 * A mesh made ready to be drawn: its tracer, its normals as a bake takes them, its tangents and what it wears.
 *
 * @threads safe for concurrent calls with different scratch objects
 */
final class Figure {
    /** Seen this steep, a footprint is not made any longer: beyond it, sharp along the face beats smooth across it. */
    private static final double LEAST_SLANT = 0.15;
    /** Interpolated normals shorter than this cancel out; the face's is taken. */
    private static final double VANISHED = 1e-6;

    /** An image of one unit square, and how many texels of it lie under an area of 1 in UV space. */
    private record Texture(RepeatedImage image, int channel, double texels) {
        static Texture of(Dressing.Source source, Map<FloatImage, RepeatedImage> inoutMade, Task task) {
            RepeatedImage image = inoutMade.computeIfAbsent(source.image(), i -> RepeatedImage.of(i, task));
            return new Texture(image, source.channel(), (double) source.image().width() * source.image().height());
        }
    }

    /** The images of one purpose: that of all unit squares, and those of single tiles. */
    private record Textures(@Nullable Texture rest, SortedMap<UvTile, Texture> tiles) {
        @Nullable
        Texture at(double u, double v) {
            if (tiles.isEmpty()) {
                return rest;
            }
            double column = Math.floor(u), row = Math.floor(v);
            if (!(column >= 0 && column < UvTile.COLUMNS && row >= 0 && row < UvTile.ROWS)) {
                return rest;
            }
            Texture own = tiles.get(new UvTile((int) column, (int) row));
            return own == null ? rest : own;
        }
    }

    final Mesh mesh;
    final RayTracer tracer;
    private final Dressing dressing;
    private final float[] positions;
    private final int[] corners;
    private final float[] normals;
    private final int[] normalIndices;
    private final @Nullable Attribute tangents;
    private final @Nullable Attribute uvs;
    private final @Nullable Attribute colours;
    private final EnumMap<Dressing.Slot, Textures> textures = new EnumMap<>(Dressing.Slot.class);
    /** For each triangle its area in UV space over that in space; empty without images. */
    private final double[] uvDensities;

    private Figure(Mesh given, Dressing dressing, @Nullable RayTracer made, long expectedRays, Task task) {
        this.dressing = dressing;
        mesh = Normals.shading(given, task);
        positions = mesh.positions();
        corners = mesh.positionIndices();
        Attribute ofMesh = mesh.normals().orElseThrow();
        normals = unit(ofMesh.values());
        normalIndices = ofMesh.indices();
        uvs = mesh.uvSets().isEmpty() ? null : mesh.uvSets().get(0);
        tangents = dressing.has(Dressing.Slot.NORMAL) ? mesh.tangents().orElseGet(() -> Tangents.mikkTSpace(mesh)) : null;
        colours = dressing.wearsVertexColours() && !mesh.colourSets().isEmpty() && mesh.colourSets().get(0).components() >= 3
                ? decoded(mesh.colourSets().get(0))
                : null;
        Map<FloatImage, RepeatedImage> images = new HashMap<>(); // asked for what it has, never walked through
        for (Dressing.Slot slot : Dressing.Slot.values()) {
            if (dressing.has(slot)) {
                SortedMap<UvTile, Texture> tiles = new TreeMap<>();
                dressing.ofTiles(slot).forEach((tile, source) -> tiles.put(tile, Texture.of(source, images, task)));
                Texture rest = dressing.ofRest(slot).map(source -> Texture.of(source, images, task)).orElse(null);
                textures.put(slot, new Textures(rest, tiles));
            }
        }
        uvDensities = textures.isEmpty() || uvs == null ? new double[0] : densities(mesh, uvs);
        tracer = made != null ? made : Bvh.build(mesh, StrategyChoice.of(mesh.triangleCount(), expectedRays), task);
    }

    /**
     * Makes a mesh ready.
     *
     * @param made         a tracer of the very mesh, null to build one
     * @param expectedRays about how many rays there will be
     * @throws InvalidMeshException if it has no triangles, values that are not finite, or no UVs for the dressing's images
     */
    static Figure of(Mesh mesh, Dressing dressing, @Nullable RayTracer made, long expectedRays, Task task) {
        InvalidMeshException.throwIfAny(MeshCheck.problems(mesh, dressing.hasImages()));
        return new Figure(mesh, dressing, made, expectedRays, task);
    }

    /** Returns vertex colours as linear ones: files store them with the sRGB curve. */
    private static Attribute decoded(Attribute painted) {
        float[] linear = painted.values().clone();
        for (int i = 0; i < linear.length; i++) {
            linear[i] = i % painted.components() < 3 ? Srgb.decode(Math.clamp(linear[i], 0, 1)) : linear[i];
        }
        return new Attribute(painted.name(), painted.components(), linear, painted.indices());
    }

    private static float[] unit(float[] values) {
        float[] out = new float[values.length];
        for (int i = 0; i < out.length; i += 3) {
            double x = values[i], y = values[i + 1], z = values[i + 2];
            double length = Math.sqrt(x * x + y * y + z * z);
            double scale = length > 0 ? 1 / length : 0;
            out[i] = (float) (x * scale);
            out[i + 1] = (float) (y * scale);
            out[i + 2] = (float) (z * scale);
        }
        return out;
    }

    private static double[] densities(Mesh mesh, Attribute uvs) {
        double[] areas = FacetNormals.areas(mesh);
        float[] uv = uvs.values();
        for (int t = 0; t < areas.length; t++) {
            int a = 2 * uvs.indices()[3 * t], b = 2 * uvs.indices()[3 * t + 1], c = 2 * uvs.indices()[3 * t + 2];
            double flat = Math.abs(((double) uv[b] - uv[a]) * ((double) uv[c + 1] - uv[a + 1])
                    - ((double) uv[c] - uv[a]) * ((double) uv[b + 1] - uv[a + 1])) / 2;
            areas[t] = areas[t] > 0 ? flat / areas[t] : 0;
        }
        return areas;
    }

    /** Returns whether a map says how open the surface is. */
    boolean hasOcclusion() {
        return textures.containsKey(Dressing.Slot.OCCLUSION);
    }

    /**
     * Reads what a ray met.
     *
     * @param dx        the ray's unit direction
     * @param dy        the ray's unit direction
     * @param dz        the ray's unit direction
     * @param footprint how wide the ray's sample is at the hit, in mesh units; 0 looks images up unfiltered
     * @param scratch   for the reader's use, at least 8 long
     */
    void read(int t, float b1, float b2, double dx, double dy, double dz, double footprint, float[] scratch, Surface dest) {
        dest.triangle = t;
        double b0 = 1.0 - b1 - b2;
        point(t, b0, b1, b2, dest);
        interpolatedNormal(t, b0, b1, b2, dest);
        dest.back = dest.fx * dx + dest.fy * dy + dest.fz * dz > 0;
        dest.nx = dest.sx;
        dest.ny = dest.sy;
        dest.nz = dest.sz;
        dest.red = dressing.red();
        dest.green = dressing.green();
        dest.blue = dressing.blue();
        dest.roughness = dressing.roughness();
        dest.metal = dressing.metal();
        dest.occlusion = Float.NaN;
        if (colours != null) {
            vertexColour(colours, t, b0, b1, b2, dest);
        }
        if (uvs != null) {
            place(uvs, t, b0, b1, b2, dest);
        }
        if (!textures.isEmpty()) {
            double cosine = Math.abs(dest.fx * dx + dest.fy * dy + dest.fz * dz);
            wear(t, b0, b1, b2, footprint * footprint / Math.max(cosine, LEAST_SLANT), scratch, dest);
        }
        if (dest.back) {
            turn(dest);
        }
        start(t, b0, b1, b2, scratch, dest);
    }

    private static void turn(Surface s) {
        s.fx = -s.fx;
        s.fy = -s.fy;
        s.fz = -s.fz;
        s.sx = -s.sx;
        s.sy = -s.sy;
        s.sz = -s.sz;
        s.nx = -s.nx;
        s.ny = -s.ny;
        s.nz = -s.nz;
    }

    private void point(int t, double b0, double b1, double b2, Surface dest) {
        int a = 3 * corners[3 * t], b = 3 * corners[3 * t + 1], c = 3 * corners[3 * t + 2];
        float[] p = positions;
        dest.px = b0 * p[a] + b1 * p[b] + b2 * p[c];
        dest.py = b0 * p[a + 1] + b1 * p[b + 1] + b2 * p[c + 1];
        dest.pz = b0 * p[a + 2] + b1 * p[b + 2] + b2 * p[c + 2];
        double ux = (double) p[b] - p[a], uy = (double) p[b + 1] - p[a + 1], uz = (double) p[b + 2] - p[a + 2];
        double wx = (double) p[c] - p[a], wy = (double) p[c + 1] - p[a + 1], wz = (double) p[c + 2] - p[a + 2];
        double x = uy * wz - uz * wy, y = uz * wx - ux * wz, z = ux * wy - uy * wx;
        double length = Math.sqrt(x * x + y * y + z * z); // not 0: a triangle without area is never hit
        dest.fx = x / length;
        dest.fy = y / length;
        dest.fz = z / length;
    }

    private void interpolatedNormal(int t, double b0, double b1, double b2, Surface dest) {
        int a = 3 * normalIndices[3 * t], b = 3 * normalIndices[3 * t + 1], c = 3 * normalIndices[3 * t + 2];
        double x = b0 * normals[a] + b1 * normals[b] + b2 * normals[c];
        double y = b0 * normals[a + 1] + b1 * normals[b + 1] + b2 * normals[c + 1];
        double z = b0 * normals[a + 2] + b1 * normals[b + 2] + b2 * normals[c + 2];
        double length = Math.sqrt(x * x + y * y + z * z);
        boolean healthy = length > VANISHED;
        dest.sx = healthy ? x / length : dest.fx;
        dest.sy = healthy ? y / length : dest.fy;
        dest.sz = healthy ? z / length : dest.fz;
    }

    private static void vertexColour(Attribute colours, int t, double b0, double b1, double b2, Surface dest) {
        float[] v = colours.values();
        int n = colours.components();
        int a = n * colours.indices()[3 * t], b = n * colours.indices()[3 * t + 1], c = n * colours.indices()[3 * t + 2];
        dest.red = (float) (b0 * v[a] + b1 * v[b] + b2 * v[c]);
        dest.green = (float) (b0 * v[a + 1] + b1 * v[b + 1] + b2 * v[c + 1]);
        dest.blue = (float) (b0 * v[a + 2] + b1 * v[b + 2] + b2 * v[c + 2]);
    }

    private static void place(Attribute set, int t, double b0, double b1, double b2, Surface dest) {
        float[] uv = set.values();
        int a = 2 * set.indices()[3 * t], b = 2 * set.indices()[3 * t + 1], c = 2 * set.indices()[3 * t + 2];
        dest.u = b0 * uv[a] + b1 * uv[b] + b2 * uv[c];
        dest.v = b0 * uv[a + 1] + b1 * uv[b + 1] + b2 * uv[c + 1];
    }

    /** Looks all images up. */
    private void wear(int t, double b0, double b1, double b2, double area, float[] scratch, Surface dest) {
        double flat = area * uvDensities[t];
        if (lookUp(Dressing.Slot.BASE_COLOUR, dest, flat, scratch) >= 0) {
            dest.red = scratch[0];
            dest.green = scratch[1];
            dest.blue = scratch[2];
        }
        int channel = lookUp(Dressing.Slot.OCCLUSION, dest, flat, scratch);
        dest.occlusion = channel >= 0 ? Math.clamp(scratch[channel], 0, 1) : dest.occlusion;
        channel = lookUp(Dressing.Slot.ROUGHNESS, dest, flat, scratch);
        dest.roughness = channel >= 0 ? Math.clamp(scratch[channel], 0, 1) : dest.roughness;
        channel = lookUp(Dressing.Slot.METAL, dest, flat, scratch);
        dest.metal = channel >= 0 ? Math.clamp(scratch[channel], 0, 1) : dest.metal;
        if (tangents != null && lookUp(Dressing.Slot.NORMAL, dest, flat, scratch) >= 0) {
            decode(tangents, t, b0, b1, b2, scratch[0], scratch[1], scratch[2], dest);
        }
    }

    /** Writes an image's channels and returns the first that counts, −1 where there is no image. */
    private int lookUp(Dressing.Slot slot, Surface at, double flatArea, float[] dest) {
        Textures all = textures.get(slot);
        Texture texture = all == null ? null : all.at(at.u, at.v);
        if (texture == null) {
            return -1;
        }
        double texels = flatArea * texture.texels;
        // A level has a quarter of the texels of the one before.
        double level = texels > 1 ? StrictMath.log(texels) / StrictMath.log(4) : 0;
        texture.image.lookUp(at.u, at.v, level, dest, 0);
        return texture.channel;
    }

    /** Sets the normal that a map's values stand for, through the frame that the rule makes. */
    private void decode(Attribute of, int t, double b0, double b1, double b2, double x, double y, double z, Surface dest) {
        int[] n = {3 * normalIndices[3 * t], 3 * normalIndices[3 * t + 1], 3 * normalIndices[3 * t + 2]};
        int[] g = {4 * of.indices()[3 * t], 4 * of.indices()[3 * t + 1], 4 * of.indices()[3 * t + 2]};
        float[] tv = of.values();
        double w = tv[g[0] + 3] < 0 ? -1 : 1;
        double nx = b0 * normals[n[0]] + b1 * normals[n[1]] + b2 * normals[n[2]];
        double ny = b0 * normals[n[0] + 1] + b1 * normals[n[1] + 1] + b2 * normals[n[2] + 1];
        double nz = b0 * normals[n[0] + 2] + b1 * normals[n[1] + 2] + b2 * normals[n[2] + 2];
        double tx = b0 * tv[g[0]] + b1 * tv[g[1]] + b2 * tv[g[2]];
        double ty = b0 * tv[g[0] + 1] + b1 * tv[g[1] + 1] + b2 * tv[g[2] + 1];
        double tz = b0 * tv[g[0] + 2] + b1 * tv[g[1] + 2] + b2 * tv[g[2] + 2];
        if (dressing.frame() == FrameRule.RENORMALISED) {
            double ofNormal = Math.sqrt(nx * nx + ny * ny + nz * nz), ofTangent = Math.sqrt(tx * tx + ty * ty + tz * tz);
            nx = ofNormal > 0 ? nx / ofNormal : nx;
            ny = ofNormal > 0 ? ny / ofNormal : ny;
            nz = ofNormal > 0 ? nz / ofNormal : nz;
            tx = ofTangent > 0 ? tx / ofTangent : tx;
            ty = ofTangent > 0 ? ty / ofTangent : ty;
            tz = ofTangent > 0 ? tz / ofTangent : tz;
        }
        double bx = w * (ny * tz - nz * ty), by = w * (nz * tx - nx * tz), bz = w * (nx * ty - ny * tx);
        if (dressing.frame() == FrameRule.BITANGENT_INTERPOLATED) {
            bx = 0;
            by = 0;
            bz = 0;
            double[] weights = {b0, b1, b2};
            for (int k = 0; k < 3; k++) {
                double cx = normals[n[k]], cy = normals[n[k] + 1], cz = normals[n[k] + 2];
                double ex = tv[g[k]], ey = tv[g[k] + 1], ez = tv[g[k] + 2];
                bx += weights[k] * w * (cy * ez - cz * ey);
                by += weights[k] * w * (cz * ex - cx * ez);
                bz += weights[k] * w * (cx * ey - cy * ex);
            }
        }
        double ox = x * tx + y * bx + z * nx, oy = x * ty + y * by + z * ny, oz = x * tz + y * bz + z * nz;
        double length = Math.sqrt(ox * ox + oy * oy + oz * oz);
        if (length > VANISHED) {
            dest.nx = ox / length;
            dest.ny = oy / length;
            dest.nz = oz / length;
        }
    }

    /**
     * Sets where rays leave: the point moved onto the corners' tangent planes, mixed by their weights, where it lies below them, so that coarse faces don't
     * shade themselves where they should look round; then off the face by {@link RayStart}'s distance.
     *
     * @source Hanika, Hacking the Shadow Terminator, Ray Tracing Gems II, 2021
     */
    private void start(int t, double b0, double b1, double b2, float[] scratch, Surface s) {
        double[] weights = {b0, b1, b2};
        double side = s.back ? -1 : 1;
        double x = s.px, y = s.py, z = s.pz;
        scratch[0] = (float) s.px;
        scratch[1] = (float) s.py;
        scratch[2] = (float) s.pz;
        float[] off = {0, 0, 0};
        if (s.back) {
            RayStart.inside(positions, corners, t, scratch, 0, off);
        } else {
            RayStart.outside(positions, corners, t, scratch, 0, off);
        }
        for (int k = 0; k < 3; k++) {
            int v = 3 * corners[3 * t + k], n = 3 * normalIndices[3 * t + k];
            double nx = side * normals[n], ny = side * normals[n + 1], nz = side * normals[n + 2];
            double below = (s.px - positions[v]) * nx + (s.py - positions[v + 1]) * ny + (s.pz - positions[v + 2]) * nz;
            double lift = weights[k] * Math.max(0, -below);
            x += lift * nx;
            y += lift * ny;
            z += lift * nz;
        }
        s.startX = (float) (x + (off[0] - s.px));
        s.startY = (float) (y + (off[1] - s.py));
        s.startZ = (float) (z + (off[2] - s.pz));
    }
}
