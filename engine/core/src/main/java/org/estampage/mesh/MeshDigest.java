package org.estampage.mesh;

import java.nio.ByteBuffer;
import java.nio.ByteOrder;
import java.nio.charset.StandardCharsets;
import java.security.MessageDigest;
import java.security.NoSuchAlgorithmException;
import java.util.HexFormat;
import java.util.List;
import java.util.Optional;

/**
 * A fingerprint of all that a bake sees of a mesh: positions, triangles, normals, tangents, UVs, colours, smoothing groups, parts, materials. Meshes with
 * the same fingerprint bake alike. Names of the mesh itself and of its attributes, polygons, passed-through attributes and findings don't count.
 *
 * @threads safe for concurrent calls
 * @cost one pass over the mesh; a buffer of 64 KB
 * @source NIST, Secure Hash Standard, FIPS 180-4, 2015: SHA-256
 */
public final class MeshDigest {
    private final MessageDigest digest;
    private final ByteBuffer buffer = ByteBuffer.allocate(1 << 16).order(ByteOrder.LITTLE_ENDIAN);

    private MeshDigest(MessageDigest digest) {
        this.digest = digest;
    }

    /** Returns the fingerprint as 64 hexadecimal digits, the same on every machine. */
    public static String sha256(MeshSource source) {
        Mesh mesh = source.build();
        MeshDigest out = create();
        out.section("positions", mesh.positions());
        out.section("triangles", mesh.positionIndices());
        out.attributes("normals", optional(mesh.normals()));
        out.attributes("tangents", optional(mesh.tangents()));
        out.attributes("uv", mesh.uvSets());
        out.attributes("colours", mesh.colourSets());
        int[] smoothing = mesh.smoothingGroups();
        out.section("smoothing", smoothing == null ? new int[0] : smoothing);
        out.labels("parts", mesh.partLabels(), mesh.triangleCount());
        if (mesh.materialLabels().isPresent()) {
            out.labels("materials", mesh.materialLabels().get(), mesh.triangleCount());
        }
        return out.finish();
    }

    /** Returns the fingerprint of numbers alone, such as a cage's offsets. */
    public static String sha256(float[] values) {
        MeshDigest out = create();
        out.section("values", values);
        return out.finish();
    }

    private static MeshDigest create() {
        try {
            return new MeshDigest(MessageDigest.getInstance("SHA-256"));
        } catch (NoSuchAlgorithmException e) {
            throw new IllegalStateException("every Java platform has SHA-256", e);
        }
    }

    private static List<Attribute> optional(Optional<Attribute> attribute) {
        return attribute.map(List::of).orElse(List.of());
    }

    private void attributes(String name, List<Attribute> attributes) {
        for (Attribute attribute : attributes) {
            section(name + "." + attribute.components(), attribute.values());
            section(name, attribute.indices());
        }
    }

    private void labels(String name, Labels labels, int triangles) {
        for (String label : labels.names()) {
            text(label);
        }
        head(name, triangles);
        for (int t = 0; t < triangles; t++) {
            put(labels.of(t));
        }
    }

    private void section(String name, int[] values) {
        head(name, values.length);
        for (int value : values) {
            put(value);
        }
    }

    private void section(String name, float[] values) {
        head(name, values.length);
        for (float value : values) {
            put(Float.floatToRawIntBits(value));
        }
    }

    /** Names and lengths go in, too, so that numbers can't move from one section to the next unnoticed. */
    private void head(String name, int length) {
        text(name);
        put(length);
    }

    private void text(String text) {
        byte[] bytes = text.getBytes(StandardCharsets.UTF_8);
        put(bytes.length);
        empty();
        digest.update(bytes);
    }

    private void put(int value) {
        if (!buffer.hasRemaining()) {
            empty();
        }
        buffer.putInt(value);
    }

    private void empty() {
        digest.update(buffer.flip());
        buffer.clear();
    }

    private String finish() {
        empty();
        return HexFormat.of().formatHex(digest.digest());
    }
}
