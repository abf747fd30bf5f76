package org.estampage.uv;

import java.io.IOException;
import java.io.InputStream;
import java.nio.charset.StandardCharsets;
import java.util.Arrays;
import java.util.List;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Mesh;
import org.estampage.testresources.Tables;

/** A table of a flattened patch made by another program: positions, triangles and texture coordinates of one .obj file, an entry of its own for each vertex. */
final class UvTable {
    private final Patch patch;
    private final double[] uv;

    private UvTable(Patch patch, double[] uv) {
        this.patch = patch;
        this.uv = uv;
    }

    static UvTable read(String name) throws IOException {
        try (InputStream in = Tables.class.getResourceAsStream("uv/" + name)) {
            List<String[]> lines = new String(in.readAllBytes(), StandardCharsets.US_ASCII).lines().map(l -> l.trim().split("\\s+"))
                    .toList();
            double[] xyz = lines.stream().filter(l -> l[0].equals("v")).flatMap(l -> Arrays.stream(l).skip(1))
                    .mapToDouble(Double::parseDouble).toArray();
            double[] uv = lines.stream().filter(l -> l[0].equals("vt")).flatMap(l -> Arrays.stream(l).skip(1).limit(2))
                    .mapToDouble(Double::parseDouble).toArray();
            int[] triangles = lines.stream().filter(l -> l[0].equals("f")).flatMap(l -> Arrays.stream(l).skip(1))
                    .mapToInt(c -> Integer.parseInt(c.substring(0, c.indexOf('/'))) - 1).toArray();
            return new UvTable(new Patch(xyz, triangles), uv);
        }
    }

    Patch patch() {
        return patch;
    }

    double[] uv() {
        return uv;
    }

    /** Returns the patch as a mesh with other UVs, or with these. */
    Mesh mesh(double[] other) {
        return Mesh.builder(floats(patch.xyz), patch.triangles).uvSet(new Attribute("uv", 2, floats(other), patch.triangles)).build();
    }

    private static float[] floats(double[] values) {
        float[] out = new float[values.length];
        for (int i = 0; i < out.length; i++) {
            out[i] = (float) values[i];
        }
        return out;
    }
}
