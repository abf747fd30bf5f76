package org.estampage.examples.server;

import java.io.IOException;
import java.io.UncheckedIOException;
import java.lang.System.Logger;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.TreeMap;
import java.util.concurrent.CancellationException;
import java.util.concurrent.ScheduledExecutorService;
import java.util.concurrent.ScheduledFuture;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.atomic.AtomicBoolean;
import org.estampage.bake.BakeJob;
import org.estampage.bake.BakeResult;
import org.estampage.bake.Baker;
import org.estampage.cage.Cage;
import org.estampage.finding.Finding;
import org.estampage.finding.Findings;
import org.estampage.handover.Delivery;
import org.estampage.handover.MapFileOptions;
import org.estampage.handover.ModelFiles;
import org.estampage.handover.WrittenMap;
import org.estampage.io.MeshFiles;
import org.estampage.io.format.FormatException;
import org.estampage.mesh.InvalidMeshException;
import org.estampage.mesh.Mesh;
import org.estampage.task.MemoryBudget;
import org.estampage.task.Task;

/** Carries a job out: reads its meshes, bakes, and writes its files. This is where the engine is called. */
final class Bake implements Runnable {
    private static final Logger LOG = System.getLogger(Bake.class.getName());
    /** Maps are written twice: as files, and into the model. */
    private static final int DELIVERIES = 2;

    private final Job job;
    private final Baker baker;
    private final Room room;
    private final Limits limits;
    private final ScheduledExecutorService timer;
    private final AtomicBoolean tookTooLong = new AtomicBoolean();

    Bake(Job job, Baker baker, Room room, Limits limits, ScheduledExecutorService timer) {
        this.job = job;
        this.baker = baker;
        this.room = room;
        this.limits = limits;
        this.timer = timer;
    }

    @Override
    public void run() {
        if (!job.begin()) {
            return;
        }
        JobFolder.Use use = job.folder().use().orElse(null);
        if (use == null) {
            job.cancelled();
            return;
        }
        ScheduledFuture<?> end = timer.schedule(this::stop, limits.bakeTime().toMillis(), TimeUnit.MILLISECONDS);
        // The job is over when its folder is free: who waits for the one can rely on the other.
        Runnable ending;
        try (use) {
            ending = bake(use);
        } finally {
            end.cancel(false);
        }
        ending.run();
    }

    private void stop() {
        tookTooLong.set(true);
        job.cancellation().cancel();
    }

    /** Bakes, and returns what is to be done to the job then. */
    @SuppressWarnings("CatchingUnchecked") // whatever a bake dies of, its client must hear that it did
    private Runnable bake(JobFolder.Use use) {
        try {
            Outcome outcome = files(use);
            return () -> job.finish(outcome);
        } catch (CancellationException e) {
            return tookTooLong.get()
                    ? failing(Problem.of(ProblemKind.TOOK_TOO_LONG, "the bake was stopped after " + limits.bakeTime().toSeconds() + " s"))
                    : job::cancelled;
        } catch (ProblemException e) {
            return failing(e.problem());
        } catch (FormatException e) {
            return failing(Problem.of(e));
        } catch (InvalidMeshException e) {
            return failing(Problem.of("/meshes", e));
        } catch (IllegalArgumentException e) {
            return failing(Problem.notUsable("/", String.valueOf(e.getMessage()), "change what is named, and make a new job"));
        } catch (IOException | UncheckedIOException | OutOfMemoryError e) {
            LOG.log(Logger.Level.WARNING, "job " + job.id() + " lacks memory or disk", e);
            return failing(Problem.of(ProblemKind.SHORT_OF_ROOM, "this machine has not the memory or disk that the bake needs"));
        } catch (RuntimeException | Error e) {
            LOG.log(Logger.Level.ERROR, "job " + job.id() + " failed", e);
            return failing(Problem.of(ProblemKind.FAILED, "the bake failed in a way that nobody foresaw"));
        }
    }

    private Runnable failing(Problem problem) {
        return () -> job.fail(problem);
    }

    private Outcome files(JobFolder.Use use) throws IOException, ProblemException {
        Path folder = use.path();
        Task task = new Task(job::progress, job.cancellation(), MemoryBudget.ofBytes(limits.memoryBytes()));
        Map<MeshRole, Upload> uploads = new TreeMap<>(job.status().meshes());
        Map<MeshRole, Mesh> meshes = new TreeMap<>();
        Map<String, Path> inputs = new LinkedHashMap<>();
        List<Finding> findings = new ArrayList<>();
        for (Map.Entry<MeshRole, Upload> each : uploads.entrySet()) {
            Mesh mesh = MeshFiles.read(each.getValue().file(), task);
            meshes.put(each.getKey(), mesh);
            inputs.put(each.getKey().id(), each.getValue().file());
            findings.addAll(mesh.findings());
        }
        BakeJob bakeJob = job(meshes);
        long room = DELIVERIES * this.room.check(bakeJob).fileBytes();
        use.take(room);
        BakeResult result = baker.bake(bakeJob, task);
        findings.addAll(result.findings());

        Path maps = folder.resolve("maps").resolve("bake");
        Delivery delivery = Delivery.write(result, maps, MapFileOptions.USUAL, inputs, task);
        Path model = maps.resolveSibling("model.glb");
        findings.addAll(ModelFiles.of(result).write(model, task));
        Map<String, Path> files = new LinkedHashMap<>();
        for (WrittenMap map : delivery.maps()) {
            files.put(map.map(), folder.relativize(map.file()));
        }
        use.giveBack(room - JobFolder.size(maps.resolveSibling("")));
        return new Outcome(files, folder.relativize(delivery.manifestFile()), folder.relativize(model), Findings.of(findings));
    }

    private BakeJob job(Map<MeshRole, Mesh> meshes) throws ProblemException {
        Mesh low = meshes.get(MeshRole.LOW);
        if (low == null) {
            throw new ProblemException(ProblemKind.WRONG_STATE, "the mesh low is missing");
        }
        List<Mesh> highs = meshes.entrySet().stream().filter(each -> each.getKey().isHigh()).map(Map.Entry::getValue).toList();
        BakeJob.Builder builder = job.description().job(low, highs);
        Mesh cage = meshes.get(MeshRole.CAGE);
        if (cage != null) {
            builder.cage(Cage.imported(low, cage));
        } else if (job.description().offset().isPresent()) {
            builder.cage(Cage.offset(low, job.description().offset().getAsDouble()));
        }
        return builder.build();
    }
}
