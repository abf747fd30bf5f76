package org.estampage.examples.server;

import java.io.IOException;
import java.io.OutputStream;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.concurrent.Semaphore;
import org.estampage.io.MeshFiles;
import org.estampage.io.format.FormatException;
import org.estampage.mesh.InvalidMeshException;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.MeshCheck;
import org.estampage.task.MemoryBudget;
import org.estampage.task.Progress;
import org.estampage.task.Task;

/**
 * Takes the meshes of jobs. Each is read as soon as it is whole, so that who sends a broken one hears of it at once; only its file is kept, since many
 * jobs may wait and meshes in memory are large.
 *
 * @threads safe for concurrent calls
 */
final class Uploads {
    /** Types and the endings that their files get; the last one is for what the first bytes tell. */
    private static final Map<String, String> ENDINGS = Map.of("model/gltf-binary", "glb", "model/gltf+json", "gltf", "model/obj", "obj",
            "model/stl", "stl", "application/octet-stream", "bin");

    private final Limits limits;
    private final Semaphore readers = new Semaphore(1, true);

    Uploads(Limits limits) {
        this.limits = limits;
    }

    /**
     * Takes the body of a call as a mesh of a job.
     *
     * @throws ProblemException if it is too large, of an unknown type, or no mesh that can be baked; a mesh that was there before stays then
     */
    Upload take(Job job, MeshRole role, Call call) throws ProblemException, IOException, InterruptedException {
        String ending = ENDINGS.get(call.type());
        if (ending == null || !call.header("Content-Encoding").orElse("identity").equals("identity")) {
            call.with("Accept", String.join(", ", ENDINGS.keySet().stream().sorted().toList()));
            throw new ProblemException(ProblemKind.UNKNOWN_TYPE,
                    "meshes of type \"" + call.type() + "\" are not taken, nor compressed ones; the header Accept names those that are");
        }
        job.meshArrives(role);
        try (JobFolder.Use use = job.folder().use()
                .orElseThrow(() -> new ProblemException(ProblemKind.NOT_FOUND, "the job has been removed"))) {
            // A folder of its own, so that no mesh can name another one's file as its texture.
            Path file = Files.createTempDirectory(use.path(), "mesh-").resolve(role.id() + "." + ending);
            Upload upload = null;
            try {
                long bytes;
                try (OutputStream out = Files.newOutputStream(file)) {
                    bytes = call.readBody(limits.uploadBytes(), limits.uploadTime(), (part, length) -> out.write(part, 0, length));
                }
                upload = read(job, role, file, bytes);
                job.meshArrived(role, upload);
                return upload;
            } finally {
                if (upload == null) {
                    JobFolder.deleteTree(file.resolveSibling(""));
                }
            }
        } finally {
            job.meshEnds(role);
        }
    }

    private Upload read(Job job, MeshRole role, Path file, long bytes) throws ProblemException, InterruptedException {
        readers.acquire();
        try {
            Task task = new Task(Progress.none(), job.cancellation(), MemoryBudget.ofBytes(limits.memoryBytes()));
            Mesh mesh = MeshFiles.read(file, task);
            if (mesh.triangleCount() > limits.triangles()) {
                throw new ProblemException(new Problem(ProblemKind.TOO_LARGE,
                        mesh.triangleCount() + " triangles are more than the " + limits.triangles() + " that this server takes",
                        List.of(new Problem.Point(role.id(), mesh.triangleCount() + " triangles",
                                "decimate the mesh, or send a part of it")),
                        Optional.empty()));
            }
            InvalidMeshException.throwIfAny(MeshCheck.problems(mesh, role == MeshRole.LOW));
            return new Upload(file, bytes, mesh.triangleCount(), mesh.findings());
        } catch (FormatException e) {
            throw new ProblemException(Problem.of(e), e);
        } catch (InvalidMeshException e) {
            throw new ProblemException(Problem.of(role.id(), e), e);
        } catch (IOException e) {
            // The file is there and is its format's: what is left is memory and disk.
            throw new ProblemException(Problem.of(ProblemKind.SHORT_OF_ROOM, "the mesh can't be read here: " + e.getMessage()), e);
        } finally {
            readers.release();
        }
    }
}
