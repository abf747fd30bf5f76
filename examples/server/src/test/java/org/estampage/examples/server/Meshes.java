package org.estampage.examples.server;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import org.estampage.lowpoly.Lathe;
import org.estampage.io.MeshFiles;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;
import org.estampage.testresources.Bollard;
import org.estampage.testresources.Shape;

/** The museum's bollard, small, as the files that a client sends. */
final class Meshes {
    static final String GLB = "model/gltf-binary";
    static final String OBJ = "model/obj";
    static final String BYTES = "application/octet-stream";

    final Path high;
    final Path low;

    Meshes(Path folder) throws IOException {
        Shape shape = Bollard.generate(6_000);
        Mesh sculpt = Mesh.builder(shape.positions(), shape.triangles()).name("bollard").build();
        Mesh game = Lathe.around(sculpt).sides(16).rings(6).capped().size(64).build();
        high = folder.resolve("sculpt.ply");
        low = folder.resolve("game.obj");
        MeshFiles.write(sculpt, high, Task.silent());
        MeshFiles.write(game, low, Task.silent());
    }

    byte[] highBytes() throws IOException {
        return Files.readAllBytes(high);
    }

    byte[] lowBytes() throws IOException {
        return Files.readAllBytes(low);
    }

    /** Makes a job with both meshes; returns its path. */
    String send(Client client, String description) throws IOException, InterruptedException {
        Client.Answer made = client.create(description);
        if (made.status() != 201) {
            throw new IOException("not made: " + made.json());
        }
        String job = made.header("Location");
        Client.Answer first = client.put(job + "/meshes/high", BYTES, highBytes());
        Client.Answer second = client.put(job + "/meshes/low", OBJ, lowBytes());
        if (first.status() != 201 || second.status() != 201) {
            throw new IOException("not taken: " + first.json() + second.json());
        }
        return job;
    }
}
