package org.estampage.examples.server;

import static org.assertj.core.api.Assertions.assertThat;

import com.fasterxml.jackson.databind.JsonNode;
import java.io.ByteArrayOutputStream;
import java.io.DataOutputStream;
import java.io.IOException;
import java.net.InetAddress;
import java.net.Socket;
import java.nio.ByteBuffer;
import java.nio.ByteOrder;
import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.Random;
import java.util.concurrent.CompletableFuture;
import java.util.stream.Stream;
import java.util.zip.CRC32;
import java.util.zip.DeflaterOutputStream;
import org.estampage.examples.server.Client.Answer;
import org.junit.jupiter.api.Test;

/** What a stranger can send to hurt a server, and what comes of it. */
final class HarmTest extends ServerSetup {
    private static final long GIGABYTE = 1L << 30;

    /** Returns limits like the usual ones with so many bytes of memory. */
    private static Limits memory(long bytes) {
        return Limits.usual().withSizes(GIGABYTE, 20_000_000, 1L << 30, bytes);
    }

    private static byte[] ascii(String text) {
        return text.getBytes(StandardCharsets.US_ASCII);
    }

    // Memory and rays, by the engine's estimate

    @Test
    void images_beyondTheMemory_areRefusedBeforeAMeshIsSent() throws Exception {
        try (BakeServer server = server(memory(200_000_000)); Client client = new Client(server.port())) {
            // Three floats a texel are 201 MB at 4096², 50 MB at 2048².
            Answer refused = client.create("{\"size\": 4096, \"maps\": [\"normal\"]}");

            assertProblem(client, refused, 413, "too-large");
            JsonNode point = refused.json().path("points").path(0);
            assertThat(point.path("where").asText()).isEqualTo("/size");
            assertThat(point.path("what").asText()).contains("memory", "200 MB", "images");
            assertThat(point.path("remedy").asText()).contains("smaller size");
            assertThat(client.create("{\"size\": 2048, \"maps\": [\"normal\"]}").status()).isEqualTo(201);
            assertThat(jobFolders()).hasSize(1);
        }
    }

    @Test
    void meshes_beyondTheMemoryTogether_areRefusedBeforeTheBake() throws Exception {
        // One of 6,000 triangles takes half a megabyte while it is read, and as much to be found by rays; eight are joined, too.
        try (BakeServer server = server(memory(3_000_000)); Client client = new Client(server.port())) {
            String job = meshes.send(client, JOB);
            for (String more : List.of("high2", "high3", "high4", "high5", "high6", "high7", "high8")) {
                assertThat(client.put(job + "/meshes/" + more, Meshes.BYTES, meshes.highBytes()).status()).isEqualTo(201);
            }
            client.start(job);

            JsonNode problem = client.await(job, "failed").path("problem");

            assertThat(problem.path("type").asText()).isEqualTo("/problems/too-large");
            assertThat(problem.path("status").asInt()).isEqualTo(413);
            assertThat(problem.path("points").path(0).path("where").asText()).isEqualTo("/meshes");
            assertThat(problem.path("points").path(0).path("remedy").asText()).contains("decimate");
        }
    }

    @Test
    void rays_beyondTheLimit_areRefusedWithTheLowPoly() throws Exception {
        Limits few = Limits.usual().withRaysAndDisk(100_000_000, GIGABYTE);
        try (BakeServer server = server(few); Client client = new Client(server.port())) {
            String job = client.create("{\"size\": 1024, \"samples\": 2, \"maps\": [{\"map\": \"occlusion\", \"rays\": 256}]}")
                    .header("Location");

            Answer refused = client.put(job + "/meshes/low", Meshes.OBJ, meshes.lowBytes());

            assertProblem(client, refused, 413, "too-large");
            assertThat(refused.json().path("points").path(0).path("where").asText()).isEqualTo("/maps");
            assertThat(refused.json().path("detail").asText()).contains("million rays", "100 million");
            assertThat(meshFolders()).isEmpty();
        }
    }

    @Test
    void chartsThatLieOnEachOther_countEachTime() throws Exception {
        Limits few = Limits.usual().withRaysAndDisk(100_000_000, GIGABYTE);
        try (BakeServer server = server(few); Client client = new Client(server.port())) {
            String job = client.create("{\"size\": 1024, \"maps\": [\"normal\"]}").header("Location");
            String square = "v 0 0 0\nv 1 0 0\nv 0 1 0\nvt 0 0\nvt 1 0\nvt 0 1\n";
            assertThat(client.put(job + "/meshes/low", Meshes.OBJ, ascii(square + "f 1/1 2/2 3/3\n")).status()).isEqualTo(201);

            Answer refused = client.put(job + "/meshes/low", Meshes.OBJ, ascii(square + "f 1/1 2/2 3/3\n".repeat(100)));

            assertProblem(client, refused, 413, "too-large");
            // The mesh that was there stays.
            assertThat(client.get(job).json().path("meshes").path("low").path("triangles").asInt()).isEqualTo(1);
        }
    }

    // Files that are small and become large

    /** Returns a PNG of black, one bit a texel: ISO/IEC 15948, sections 5 and 11. */
    private static byte[] blackPicture(int side) throws IOException {
        ByteArrayOutputStream packed = new ByteArrayOutputStream();
        try (DeflaterOutputStream deflater = new DeflaterOutputStream(packed)) {
            byte[] row = new byte[1 + (side + 7) / 8];
            for (int y = 0; y < side; y++) {
                deflater.write(row);
            }
        }
        ByteArrayOutputStream bytes = new ByteArrayOutputStream();
        DataOutputStream out = new DataOutputStream(bytes);
        out.write(new byte[] {(byte) 0x89, 'P', 'N', 'G', '\r', '\n', 0x1a, '\n'});
        chunk(out, "IHDR", ByteBuffer.allocate(13).putInt(side).putInt(side).put((byte) 1).array());
        chunk(out, "IDAT", packed.toByteArray());
        chunk(out, "IEND", new byte[0]);
        return bytes.toByteArray();
    }

    private static void chunk(DataOutputStream out, String type, byte[] data) throws IOException {
        CRC32 crc = new CRC32();
        crc.update(ascii(type));
        crc.update(data);
        out.writeInt(data.length);
        out.write(ascii(type));
        out.write(data);
        out.writeInt((int) crc.getValue());
    }

    /** Returns a GLB file: glTF 2.0, section 4.4. */
    private static byte[] glb(String json, byte[] binary) {
        byte[] text = ascii(json + " ".repeat((4 - json.length() % 4) % 4));
        int padded = (binary.length + 3) / 4 * 4;
        ByteBuffer bytes = ByteBuffer.allocate(12 + 8 + text.length + 8 + padded).order(ByteOrder.LITTLE_ENDIAN);
        bytes.putInt(0x46546C67).putInt(2).putInt(bytes.capacity()).putInt(text.length).putInt(0x4E4F534A).put(text);
        return bytes.putInt(padded).putInt(0x004E4942).put(binary).array();
    }

    /** Returns a triangle with UVs whose material has a picture as its base colour. */
    private static byte[] texturedTriangle(byte[] picture) {
        ByteBuffer binary = ByteBuffer.allocate(60 + picture.length).order(ByteOrder.LITTLE_ENDIAN);
        for (float number : new float[] {0, 0, 0, 1, 0, 0, 0, 1, 0, 0, 1, 1, 1, 0, 0}) {
            binary.putFloat(number);
        }
        binary.put(picture);
        return glb(String.format(Locale.ROOT, """
                {"asset": {"version": "2.0"}, "scenes": [{"nodes": [0]}], "nodes": [{"mesh": 0}], "buffers": [{"byteLength": %d}],
                 "meshes": [{"primitives": [{"attributes": {"POSITION": 0, "TEXCOORD_0": 1}, "material": 0}]}],
                 "bufferViews": [{"buffer": 0, "byteLength": 36}, {"buffer": 0, "byteOffset": 36, "byteLength": 24},
                                 {"buffer": 0, "byteOffset": 60, "byteLength": %d}],
                 "accessors": [{"bufferView": 0, "componentType": 5126, "count": 3, "type": "VEC3"},
                               {"bufferView": 1, "componentType": 5126, "count": 3, "type": "VEC2"}],
                 "images": [{"bufferView": 2, "mimeType": "image/png"}], "textures": [{"source": 0}],
                 "materials": [{"pbrMetallicRoughness": {"baseColorTexture": {"index": 0}, "baseColorFactor": [1, 0.5, 0, 1]}}]}
                """, 60 + picture.length, picture.length), binary.array());
    }

    @Test
    void pictures_inModels_areNeverDecoded() throws Exception {
        byte[] picture = blackPicture(30_000);
        assertThat(picture.length).isLessThan(200_000); // 3.6 gigabytes as floats: more than the heap that tests have
        try (BakeServer server = server(memory(64_000_000)); Client client = new Client(server.port())) {
            String job = client.create("{\"size\": 32, \"offset\": 0.1, \"maps\": [\"colour\", \"opacity\", \"ids\", \"normal\"]}")
                    .header("Location");
            byte[] model = texturedTriangle(picture);
            for (String role : List.of("low", "high")) {
                assertThat(client.put(job + "/meshes/" + role, Meshes.GLB, model).status()).isEqualTo(201);
            }
            client.start(job);

            client.await(job, "done");

            assertThat(client.get(job + "/maps/colour.png").status()).isEqualTo(200);
            // Nor does it come back in the model.
            assertThat(client.get(job + "/model.glb").response().body().length).isLessThan(picture.length / 2);
        }
    }

    @Test
    void models_thatMultiply_areRefusedBeforeTheyDo() throws Exception {
        StringBuilder nodes = new StringBuilder();
        StringBuilder roots = new StringBuilder();
        for (int n = 0; n < 10_000; n++) {
            nodes.append(n == 0 ? "" : ",").append("{\"mesh\":0}");
            roots.append(n == 0 ? "" : ",").append(n);
        }
        int count = 30_000;
        String json = "{\"asset\":{\"version\":\"2.0\"},\"scenes\":[{\"nodes\":[" + roots + "]}],\"nodes\":[" + nodes
                + "],\"meshes\":[{\"primitives\":"
                + "[{\"attributes\":{\"POSITION\":0}}]}],\"buffers\":[{\"byteLength\":" + 12 * count
                + "}],\"bufferViews\":[{\"buffer\":0,\"byteLength\":"
                + 12 * count + "}],\"accessors\":[{\"bufferView\":0,\"componentType\":5126,\"count\":" + count + ",\"type\":\"VEC3\"}]}";
        try (BakeServer server = server(memory(100_000_000)); Client client = new Client(server.port())) {
            String high = client.create(JOB).header("Location") + "/meshes/high";
            // 100 million triangles in less than a megabyte.
            assertProblem(client, client.put(high, Meshes.GLB, glb(json, new byte[12 * count])), 413, "too-large");
            // Brackets: four million objects of some 80 bytes in 12 megabytes.
            String brackets = "{\"asset\":{\"version\":\"2.0\"},\"extras\":[" + "{},".repeat(4_000_000) + "{}]}";
            assertProblem(client, client.put(high, "model/gltf+json", ascii(brackets)), 413, "too-large");
            // A tree of 2^40 leaves, each node being the child of one before it twice.
            StringBuilder tree = new StringBuilder();
            for (int n = 0; n < 40; n++) {
                tree.append("{\"children\":[").append(n + 1).append(',').append(n + 1).append("]},");
            }
            String twice = json.replace(roots, "0").replace(nodes, tree + "{\"mesh\":0}");
            assertProblem(client, client.put(high, Meshes.GLB, glb(twice, new byte[12 * count])), 422, "not-usable");
            // Counts that the file can't hold.
            for (String counted : List.of(
                    "ply\nformat binary_little_endian 1.0\nelement vertex 2000000000\nproperty float x\nproperty float y\n"
                            + "property float z\nelement face 2000000000\nproperty list uchar int vertex_indices\nend_header\n",
                    "ply\nformat ascii 1.0\nelement vertex 2000000000\nproperty float x\nproperty float y\nproperty float z\n"
                            + "element face 1\nproperty list uint int vertex_indices\nend_header\n0 0 0\n")) {
                assertProblem(client, client.put(high, Meshes.BYTES, ascii(counted)), 422, "not-usable");
            }
            byte[] stl = new byte[84];
            ByteBuffer.wrap(stl).order(ByteOrder.LITTLE_ENDIAN).putInt(80, 700_000_000);
            assertProblem(client, client.put(high, "model/stl", stl), 422, "not-usable");
            assertThat(meshFolders()).isEmpty();
        }
    }

    // What takes long

    /** Returns an OBJ file of one face whose corners lie anywhere: cutting it takes the square of their number. */
    private static byte[] tangle(int corners) {
        Random random = new Random(5);
        StringBuilder text = new StringBuilder();
        StringBuilder face = new StringBuilder("f");
        for (int i = 1; i <= corners; i++) {
            text.append("v ").append(random.nextFloat()).append(' ').append(random.nextFloat()).append(" 0\n");
            face.append(' ').append(i);
        }
        return ascii(text.append(face).append('\n').toString());
    }

    @Test
    void mesh_thatTakesTooLongToRead_isGivenUp_andOthersAreRead() throws Exception {
        Limits brief = Limits.usual().withClientTimes(Duration.ofSeconds(20), Duration.ofSeconds(2), Duration.ofSeconds(5));
        try (BakeServer server = server(brief); Client client = new Client(server.port())) {
            String job = client.create(JOB).header("Location");

            Answer refused = client.put(job + "/meshes/high", Meshes.OBJ, tangle(100_000)); // minutes

            assertProblem(client, refused, 413, "too-large");
            assertThat(refused.json().path("points").path(0).path("remedy").asText()).contains("polygons");
            assertThat(meshFolders()).isEmpty();
            assertThat(client.put(job + "/meshes/high", Meshes.BYTES, meshes.highBytes()).status()).isEqualTo(201);
        }
    }

    @Test
    void mesh_whoseJobIsRemoved_isNotReadOn() throws Exception {
        try (BakeServer server = server(Limits.usual()); Client client = new Client(server.port())) {
            String job = client.create(JOB).header("Location");
            CompletableFuture<Answer> sent = CompletableFuture.supplyAsync(() -> {
                try {
                    return client.put(job + "/meshes/high", Meshes.OBJ, tangle(100_000));
                } catch (IOException | InterruptedException e) {
                    throw new IllegalStateException(e);
                }
            });
            while (meshFolders().isEmpty()) {
                Thread.sleep(5);
            }

            assertThat(client.delete(job).status()).isEqualTo(204);

            assertThat(sent.get().status()).isEqualTo(404);
            assertThat(jobFolders()).isEmpty();
        }
    }

    @Test
    void trianglesThatLieOnEachOther_dontKeepABakeFromBeingStopped() throws Exception {
        Limits brief = Limits.usual().withJobTimes(Duration.ofSeconds(1), Duration.ofMinutes(1));
        try (BakeServer server = server(brief); Client client = new Client(server.port())) {
            String job = client.create("{\"size\": 1024, \"samples\": 4, \"offset\": 0.1, \"maps\": [\"normal\"]}").header("Location");
            String corners = "v 0 0 0\nv 1 0 0\nv 0 1 0\nvt 0 0\nvt 1 0\nvt 0 1\n";
            client.put(job + "/meshes/low", Meshes.OBJ, ascii(corners + "f 1/1 2/2 3/3\n"));
            // Each of eight million rays meets all ten thousand.
            client.put(job + "/meshes/high", Meshes.OBJ, ascii(corners + "f 1 2 3\n".repeat(10_000)));
            client.start(job);

            JsonNode failed = client.await(job, "failed");

            assertThat(failed.path("problem").path("type").asText()).isEqualTo("/problems/took-too-long");
        }
    }

    // What fills up

    @Test
    void files_ofAllJobs_haveOneLimit_andRemovedOnesMakeRoom() throws Exception {
        long high = meshes.highBytes().length;
        Limits small = Limits.usual().withRaysAndDisk(GIGABYTE, 5 * high / 2);
        try (BakeServer server = server(small); Client client = new Client(server.port())) {
            String first = client.create(JOB).header("Location");
            String second = client.create(JOB).header("Location");
            // A mesh that is sent again takes the place of the one before.
            for (int i = 0; i < 4; i++) {
                assertThat(client.put(first + "/meshes/high", Meshes.BYTES, meshes.highBytes()).status()).isEqualTo(201);
            }
            assertThat(meshFolders()).hasSize(1);
            // One that is refused takes none.
            for (int i = 0; i < 4; i++) {
                byte[] broken = meshes.highBytes();
                broken[1] = 'x';
                assertThat(client.put(second + "/meshes/high", Meshes.BYTES, broken).status()).isEqualTo(422);
            }
            assertThat(client.put(second + "/meshes/high", Meshes.BYTES, meshes.highBytes()).status()).isEqualTo(201);

            Answer full = client.put(second + "/meshes/high2", Meshes.BYTES, meshes.highBytes());

            assertProblem(client, full, 503, "short-of-room");
            assertThat(full.header("Retry-After")).matches("[1-9][0-9]*");
            client.delete(first);
            assertThat(client.put(second + "/meshes/high2", Meshes.BYTES, meshes.highBytes()).status()).isEqualTo(201);
        }
    }

    @Test
    void maps_thatFindNoRoom_areNotBaked() throws Exception {
        long meshBytes = (long) meshes.highBytes().length + meshes.lowBytes().length;
        Limits small = Limits.usual().withRaysAndDisk(GIGABYTE, meshBytes + 100_000);
        try (BakeServer server = server(small); Client client = new Client(server.port())) {
            String job = meshes.send(client, "{\"size\": 256, \"maps\": [\"normal\"]}");
            client.start(job);

            assertThat(client.await(job, "failed").path("problem").path("type").asText()).isEqualTo("/problems/short-of-room");

            client.delete(job);
            String less = meshes.send(client, JOB);
            client.start(less);
            client.await(less, "done");
        }
    }

    @Test
    void jobs_withoutAMesh_givePlaceWhenAllAreTaken() throws Exception {
        Limits two = Limits.usual().withJobs(1, 1, 2).withClientTimes(Duration.ofMillis(100), Duration.ofMinutes(1), Duration.ofSeconds(5));
        try (BakeServer server = server(two); Client client = new Client(server.port())) {
            String used = client.create(JOB).header("Location");
            assertThat(client.put(used + "/meshes/low", Meshes.OBJ, meshes.lowBytes()).status()).isEqualTo(201);
            String unused = client.create(JOB).header("Location");

            Answer third = client.create(JOB);
            for (int i = 0; i < 100 && third.status() == 429; i++) {
                Thread.sleep(50);
                third = client.create(JOB);
            }

            assertThat(third.status()).isEqualTo(201);
            assertThat(client.get(used).status()).isEqualTo(200);
            assertThat(client.get(unused).status()).isEqualTo(404);
        }
    }

    @Test
    void streams_leavePlaceForShortRequests() throws Exception {
        try (BakeServer server = server(Limits.usual().withRequests(4)); Client client = new Client(server.port())) {
            String job = client.create(JOB).header("Location");
            List<Stream<String>> streams = new ArrayList<>();
            try {
                for (int i = 0; i < 3; i++) {
                    streams.add(client.lines(job));
                }
                assertProblem(client, client.get(job + "/events"), 503, "busy");
                assertThat(client.get(job).status()).isEqualTo(200);
            } finally {
                streams.forEach(Stream::close);
            }
        }
    }

    @Test
    void program_closesConnectionsBeyondItsLimit() throws Exception {
        ProcessBuilder java = new ProcessBuilder(ProcessHandle.current().info().command().orElse("java"),
                "-Djdk.httpserver.maxConnections=8",
                "-Djava.io.tmpdir=" + folder, "--add-modules", "jdk.incubator.vector", "-cp", System.getProperty("java.class.path"),
                Main.class.getName(), "port=0");
        Process program = java.redirectErrorStream(true).start();
        List<Socket> open = new ArrayList<>();
        try (var lines = program.inputReader()) {
            String said = lines.readLine();
            while (!said.contains("served at")) {
                said = lines.readLine();
            }
            int port = Integer.parseInt(said.replaceAll(".*:([0-9]+)/jobs", "$1"));
            for (int i = 0; i < 9; i++) {
                open.add(new Socket(InetAddress.getLoopbackAddress(), port));
            }
            open.getLast().setSoTimeout(20_000);
            assertThat(open.getLast().getInputStream().read()).isEqualTo(-1); // closed; a timeout fails the test
            open.getFirst().getOutputStream().write(ascii("GET /jobs HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n\r\n"));
            assertThat(new String(open.getFirst().getInputStream().readAllBytes(), StandardCharsets.UTF_8)).startsWith("HTTP/1.1 200");
        } finally {
            for (Socket socket : open) {
                socket.close();
            }
            program.destroy();
        }
    }
}
