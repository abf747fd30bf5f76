package org.estampage.io;

import java.util.Arrays;
import java.util.List;
import java.util.Map;
import java.util.Random;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.EarClipping;
import org.estampage.mesh.Labels;
import org.estampage.mesh.Material;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.Part;
import org.estampage.mesh.Polygons;

/** Random meshes that hold everything a format may have to carry. */
public final class TestMeshes {
    private TestMeshes() {
    }

    /** What to put into a mesh besides positions and triangles. */
    public enum Content {
        POLYGONS, UVS, NORMALS, COLOURS, BYTE_COLOURS, EXTRAS, PARTS, GROUPS, MATERIALS, SMOOTHING, OWN_INDICES
    }

    /** Returns a random float of any size, sometimes an odd one. */
    static float number(Random random) {
        return switch (random.nextInt(12)) {
            case 0 -> random.nextInt(5) - 2;
            case 1 -> Float.MIN_VALUE * random.nextInt(100);
            case 2 -> (float) (random.nextGaussian() * 1e30);
            case 3 -> -0f;
            case 4 -> (float) (random.nextGaussian() * 1e-30);
            default -> (float) random.nextGaussian();
        };
    }

    private static float[] numbers(Random random, int count) {
        float[] values = new float[count];
        for (int i = 0; i < count; i++) {
            values[i] = number(random);
        }
        return values;
    }

    /** Returns a mesh whose indices, names and values are random; equal seeds give equal meshes. */
    public static Mesh random(long seed, String name, Content... content) {
        Random random = new Random(seed);
        List<Content> with = Arrays.asList(content);
        int vertices = 3 + random.nextInt(30);
        float[] positions = numbers(random, 3 * vertices);
        int faces = 1 + random.nextInt(30);
        int[] sizes = new int[faces];
        int corners = 0;
        for (int f = 0; f < faces; f++) {
            sizes[f] = with.contains(Content.POLYGONS) && random.nextInt(3) > 0 ? 3 + random.nextInt(6) : 3;
            corners += sizes[f];
        }
        if (with.contains(Content.POLYGONS) && corners == 3 * faces) {
            sizes[0]++; // a mesh of triangles only has no polygons
            corners++;
        }
        int[] v = references(random, corners, vertices);
        int[] source = new int[3 * (corners - 2 * faces)];
        int[] starts = new int[faces + 1];
        int[] polygonCorners = new int[corners];
        EarClipping clipping = new EarClipping();
        for (int f = 0; f < faces; f++) {
            int at = 3 * (starts[f] - 2 * f);
            clipping.triangulate(positions, v, starts[f], sizes[f], source, at);
            for (int i = at + 3 * (sizes[f] - 2) - 1; i >= at; i--) {
                source[i] += starts[f];
                polygonCorners[source[i]] = i;
            }
            starts[f + 1] = starts[f] + sizes[f];
        }
        int[] indices = spread(v, source);
        boolean own = with.contains(Content.OWN_INDICES);
        Mesh.Builder mesh = Mesh.builder(positions, indices).name(name);
        if (with.contains(Content.POLYGONS)) {
            mesh.polygons(new Polygons(starts, polygonCorners));
        }
        if (with.contains(Content.UVS)) {
            mesh.uvSet(attribute(random, "uv", 2, vertices, indices, own, corners, source));
        }
        if (with.contains(Content.NORMALS)) {
            mesh.normals(attribute(random, "normal", 3, vertices, indices, own, corners, source));
        }
        if (with.contains(Content.COLOURS)) {
            mesh.colourSet(new Attribute("colour", 3, numbers(random, 3 * vertices), indices));
        }
        if (with.contains(Content.BYTE_COLOURS)) {
            float[] values = new float[4 * vertices];
            for (int i = 0; i < values.length; i++) {
                values[i] = random.nextInt(256) / 255f;
            }
            mesh.colourSet(new Attribute("colour", 4, values, indices, Attribute.Storage.UNIT_BYTE));
        }
        if (with.contains(Content.EXTRAS)) {
            mesh.extra(new Attribute("quality", 1, numbers(random, vertices), indices));
            float[] whole = new float[vertices];
            for (int i = 0; i < vertices; i++) {
                whole[i] = random.nextInt(256);
            }
            mesh.extra(new Attribute("scan", 1, whole, indices, Attribute.Storage.UNSIGNED_BYTE));
        }
        int[] triangleFace = new int[source.length / 3];
        for (int f = 0; f < faces; f++) {
            Arrays.fill(triangleFace, starts[f] - 2 * f, starts[f + 1] - 2 * (f + 1), f);
        }
        mesh.parts(List.of(new Part(name)), null);
        if (with.contains(Content.PARTS)) {
            addParts(mesh, random, triangleFace, faces);
        }
        if (with.contains(Content.GROUPS)) {
            mesh.groups(new Labels(List.of("left side", "front#2", "all over"), someOf(3, random, triangleFace, faces, true)));
        }
        if (with.contains(Content.MATERIALS)) {
            List<Material> materials = List.of(Material.named("plain"),
                    new Material("rusty iron", 0.25f, 0.1f, 1e-7f, 0.5f, Map.of("base-colour", "rust map.png", "bump", "b.png"),
                            Map.of("Ns", "90.5", "refl", "-type sphere a.png\n-type cube_top b.png", "options of bump", "-bm 0.5")),
                    new Material("unused", 1, 1, 1, 1, Map.of(), Map.of()));
            mesh.materials(materials, someOf(3, random, triangleFace, faces, true));
        }
        if (with.contains(Content.SMOOTHING)) {
            mesh.smoothingGroups(someOf(3, random, triangleFace, faces, false));
        }
        return mesh.build();
    }

    private static int[] references(Random random, int count, int limit) {
        int[] v = new int[count];
        for (int i = 0; i < count; i++) {
            v[i] = random.nextInt(limit);
        }
        return v;
    }

    private static int[] spread(int[] values, int[] source) {
        int[] result = new int[source.length];
        for (int i = 0; i < result.length; i++) {
            result[i] = values[source[i]];
        }
        return result;
    }

    private static Attribute attribute(Random random, String name, int components, int vertices, int[] indices, boolean own, int corners,
            int[] source) {
        if (!own) {
            return new Attribute(name, components, numbers(random, components * vertices), indices);
        }
        int entries = 1 + random.nextInt(40);
        return new Attribute(name, components, numbers(random, components * entries), spread(references(random, corners, entries), source));
    }

    /** Part names in the order in which they first come, as readers list them. */
    private static void addParts(Mesh.Builder mesh, Random random, int[] triangleFace, int faces) {
        String[] names = {"post", "rope relief", "barnacle é", "base"};
        int[] ofFace = new int[faces];
        int count = 0;
        for (int f = 0; f < faces; f++) {
            int part = f == 0 ? 0 : random.nextInt(3) > 0 ? ofFace[f - 1] : random.nextInt(Math.min(names.length, count + 1));
            ofFace[f] = part;
            count = Math.max(count, part + 1);
        }
        mesh.parts(Arrays.stream(names).limit(count).map(Part::new).toList(), count == 1 ? null : spread(ofFace, triangleFace));
    }

    private static int[] someOf(int count, Random random, int[] triangleFace, int faces, boolean withNone) {
        int[] ofFace = new int[faces];
        for (int f = 0; f < faces; f++) {
            ofFace[f] = f > 0 && random.nextInt(3) > 0 ? ofFace[f - 1] : random.nextInt(count + (withNone ? 1 : 0)) - (withNone ? 1 : 0);
        }
        return spread(ofFace, triangleFace);
    }
}
