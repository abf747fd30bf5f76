package org.estampage.maps;

import java.util.List;
import org.estampage.bake.Preparation;
import org.estampage.bake.SurfaceHits;
import org.estampage.finding.Finding;
import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.Tangents;

/**
 * The normals of a high poly that wears a normal map of its own: looked up through its UVs, and turned by its own tangent frame.
 *
 * <p>The frame is that of a shader: normal and tangent as interpolated, bitangent w · (normal × tangent); tangents as given, else by MikkTSpace. Filtered
 * normals are means; only their direction counts.
 *
 * @threads immutable
 */
final class DetailNormals {
    private final TextureLookup textures;
    private final Attribute[] normals;
    private final Attribute[] tangents;

    /** What tangents hang on. */
    private record Key(Mesh mesh) {
    }

    /** Gets the normals of the job's high polys with these normal maps ready. */
    DetailNormals(String map, Textures given, Preparation preparation) {
        textures = new TextureLookup(map, given, preparation);
        List<Mesh> highs = preparation.highs();
        normals = new Attribute[highs.size()];
        tangents = new Attribute[highs.size()];
        for (int m = 0; m < normals.length; m++) {
            Mesh high = highs.get(m);
            preparation.task().check();
            normals[m] = high.normals().orElseThrow();
            tangents[m] = textures.covers(m) ? tangents(high, preparation) : normals[m]; // those are never asked for
        }
    }

    private static Attribute tangents(Mesh high, Preparation preparation) {
        return preparation.once(new Key(high), Attribute.class, () -> high.tangents().orElseGet(() -> Tangents.mikkTSpace(high)));
    }

    /**
     * Checks an image.
     *
     * @throws IllegalArgumentException if it isn't of normals
     */
    static FloatImage checked(FloatImage image) {
        if (image.encoding().kind() != Encoding.Kind.NORMAL || image.channels() != 3) {
            throw new IllegalArgumentException("detail: the image is " + image.encoding().kind() + " of " + image.channels()
                    + " channels, it must be NORMAL of 3: read it as normals, which decodes to -1 … 1");
        }
        return image;
    }

    List<Finding> findings() {
        return textures.findings();
    }

    /**
     * Writes the normal at a sample, of any length, object space.
     *
     * @param dest xyz; room for four
     */
    void write(SurfaceHits hits, int s, float[] dest) {
        boolean plain = textures.read(hits, s, dest) == 0;
        float x = dest[0], y = dest[1], z = dest[2];
        System.arraycopy(hits.highNormals, 3 * s, dest, 0, 3);
        if (plain) {
            return;
        }
        int m = hits.highMeshes[s], c = 3 * hits.highTriangles[s];
        float b1 = hits.highB1[s], b2 = hits.highB2[s], b0 = 1f - b1 - b2;
        float nx = mix(normals[m], 0, c, b0, b1, b2), ny = mix(normals[m], 1, c, b0, b1, b2), nz = mix(normals[m], 2, c, b0, b1, b2);
        float tx = mix(tangents[m], 0, c, b0, b1, b2), ty = mix(tangents[m], 1, c, b0, b1, b2), tz = mix(tangents[m], 2, c, b0, b1, b2);
        float w = tangents[m].values()[4 * tangents[m].indices()[c] + 3];
        float bx = w * (ny * tz - nz * ty), by = w * (nz * tx - nx * tz), bz = w * (nx * ty - ny * tx);
        float dx = x * tx + y * bx + z * nx, dy = x * ty + y * by + z * ny, dz = x * tz + y * bz + z * nz;
        // Where means or frames cancel out, the high poly's own normal stands.
        if ((double) dx * dx + (double) dy * dy + (double) dz * dz > 1e-12) {
            dest[0] = dx;
            dest[1] = dy;
            dest[2] = dz;
        }
    }

    private static float mix(Attribute of, int component, int corner, float b0, float b1, float b2) {
        float[] v = of.values();
        int n = of.components();
        int[] i = of.indices();
        return b0 * v[n * i[corner] + component] + b1 * v[n * i[corner + 1] + component] + b2 * v[n * i[corner + 2] + component];
    }
}
