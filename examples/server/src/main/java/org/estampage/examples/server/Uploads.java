package org.estampage.examples.server;

import java.io.IOException;
import java.io.OutputStream;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.concurrent.CancellationException;
import java.util.concurrent.ScheduledExecutorService;
import java.util.concurrent.ScheduledFuture;
import java.util.concurrent.Semaphore;
import java.util.concurrent.TimeUnit;
import org.estampage.io.MeshFiles;
import org.estampage.io.format.FormatException;
import org.estampage.mesh.InvalidMeshException;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.MeshCheck;
import org.estampage.task.Cancellation;
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

    /** How often a reader looks whether its job was removed. */
    private static final Duration LOOK = Duration.ofMillis(100);

    private final Limits limits;
    private final Room room;
    private final ScheduledExecutorService timer;
    private final Semaphore readers = new Semaphore(1, true);

    Uploads(Limits limits, Room room, ScheduledExecutorService timer) {
        this.limits = limits;
        this.room = room;
        this.timer = timer;
    }

    /**
     * Takes the body of a call as a mesh of a job.
     *
     * @throws ProblemException if it is too large, of an unknown type, or no mesh that can be baked; a mesh that was there before stays then
     */
    Upload take(Job job, MeshRole role, Call call) throws ProblemException, IOException, InterruptedException {
        String ending = ENDINGS.get(call.type());
        if (ending == null || !call.header("Content-Encoding").orElse("identity").equals("identity")) {
            String types = String.join(", ", ENDINGS.keySet().stream().sorted().toList());
            call.with("Accept", types);
            String sent = call.type().isEmpty()
                    ? "the header Content-Type is missing"
                    : "a mesh of type \"" + call.type() + "\" is not taken so";
            throw new ProblemException(ProblemKind.UNKNOWN_TYPE,
                    sent + ": send one of " + types + ", uncompressed; octet-stream lets the first bytes tell, as for PLY");
        }
        job.meshArrives(role);
        try (JobFolder.Use use = job.folder().use()
                .orElseThrow(Uploads::removed)) {
            // A folder of its own, so that no mesh can name another one's file as its texture.
            Path file = Files.createTempDirectory(use.path(), "mesh-").resolve(role.id() + "." + ending);
            Space space = new Space(use);
            Upload upload = null;
            try {
                try (OutputStream out = Files.newOutputStream(file)) {
                    call.readBody(limits.uploadBytes(), limits.uploadTime(), (part, length) -> {
                        space.take(length);
                        write(out, part, length);
                    });
                }
                upload = read(job, role, file, space.bytes);
                job.meshArrived(role, upload).ifPresent(before -> delete(before.file(), before.bytes(), use));
                return upload;
            } finally {
                if (upload == null) {
                    delete(file, space.bytes, use);
                }
            }
        } finally {
            job.meshEnds(role);
        }
    }

    /** The space that one file has taken so far. */
    private static final class Space {
        private final JobFolder.Use use;
        private long bytes;

        Space(JobFolder.Use use) {
            this.use = use;
        }

        void take(int more) throws ProblemException {
            use.take(more);
            bytes += more;
        }
    }

    /** Writes a part of a body; that it can't be is nothing that the client did. */
    private static void write(OutputStream out, byte[] part, int length) throws ProblemException {
        try {
            out.write(part, 0, length);
        } catch (IOException e) {
            throw new ProblemException(Problem.of(ProblemKind.SHORT_OF_ROOM, "this machine has no room for the mesh's file"), e);
        }
    }

    private static void delete(Path file, long bytes, JobFolder.Use use) {
        try {
            JobFolder.deleteTree(file.resolveSibling(""));
            use.giveBack(bytes);
        } catch (IOException e) { // it goes with the job
            System.getLogger(Uploads.class.getName()).log(System.Logger.Level.WARNING, "a mesh could not be deleted", e);
        }
    }

    private static ProblemException removed() {
        return new ProblemException(ProblemKind.NOT_FOUND, "the job has been removed");
    }

    private Upload read(Job job, MeshRole role, Path file, long bytes) throws ProblemException, InterruptedException {
        readers.acquire();
        try {
            Mesh mesh = readInTime(job, role, file);
            if (mesh.triangleCount() > limits.triangles()) {
                throw new ProblemException(tooLarge(role,
                        mesh.triangleCount() + " triangles are more than the " + limits.triangles() + " that this server takes",
                        "decimate the mesh, or send a part of it"));
            }
            InvalidMeshException.throwIfAny(MeshCheck.problems(mesh, role == MeshRole.LOW));
            checkRoom(job.description(), role, mesh);
            return new Upload(file, bytes, mesh.triangleCount(), mesh.findings());
        } catch (FormatException e) {
            throw new ProblemException(Problem.of(e), e);
        } catch (InvalidMeshException e) {
            throw new ProblemException(Problem.of(role.id(), e), e);
        } catch (IOException e) {
            // The file is there and is its format's: what is left is the memory that this server gives a mesh.
            throw new ProblemException(tooLarge(role, "the mesh takes more memory to read than the " + limits.memoryBytes() / 1_000_000
                    + " MB that this server gives one", "decimate the mesh, or send a part of it"), e);
        } catch (OutOfMemoryError e) {
            System.getLogger(Uploads.class.getName()).log(System.Logger.Level.WARNING, "memory ran out while a mesh was read", e);
            throw new ProblemException(ProblemKind.SHORT_OF_ROOM, "this machine has not the memory to read the mesh now");
        } finally {
            readers.release();
        }
    }

    private static Problem tooLarge(MeshRole role, String what, String remedy) {
        return new Problem(ProblemKind.TOO_LARGE, what, List.of(new Problem.Point(role.id(), what, remedy)), Optional.empty());
    }

    /** Reads a mesh; a job that is removed meanwhile, and too long a time, end that. */
    private Mesh readInTime(Job job, MeshRole role, Path file) throws ProblemException, IOException {
        Cancellation cancellation = new Cancellation();
        long until = System.nanoTime() + limits.uploadTime().toNanos();
        ScheduledFuture<?> looks = timer.scheduleWithFixedDelay(() -> {
            if (job.cancellation().isCancelled() || System.nanoTime() - until > 0) {
                cancellation.cancel();
            }
        }, 0, LOOK.toMillis(), TimeUnit.MILLISECONDS);
        try {
            return MeshFiles.read(file, new Task(Progress.none(), cancellation, MemoryBudget.ofBytes(limits.memoryBytes())));
        } catch (CancellationException e) {
            if (job.cancellation().isCancelled()) {
                throw removed();
            }
            throw new ProblemException(tooLarge(role, "the mesh was still being read after " + limits.uploadTime().toSeconds() + " s",
                    "cut polygons of many corners into triangles before you export it, or send a smaller mesh"), e);
        } finally {
            looks.cancel(false);
        }
    }

    /** Checks what a bake would take with this mesh, and next to nothing for those that are not here yet. */
    private void checkRoom(Description description, MeshRole role, Mesh mesh) throws ProblemException {
        Mesh probe = Description.probe();
        if (role == MeshRole.LOW) {
            room.check(description.job(mesh, List.of(probe)).build());
        } else if (role.isHigh()) {
            room.check(description.job(probe, List.of(mesh)).build());
        }
    }
}
