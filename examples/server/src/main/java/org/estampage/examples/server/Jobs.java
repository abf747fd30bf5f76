package org.estampage.examples.server;

import java.io.IOException;
import java.lang.System.Logger;
import java.nio.file.Files;
import java.nio.file.Path;
import java.security.SecureRandom;
import java.time.Duration;
import java.util.Comparator;
import java.util.HexFormat;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.concurrent.ArrayBlockingQueue;
import java.util.concurrent.ConcurrentHashMap;
import java.util.concurrent.RejectedExecutionException;
import java.util.concurrent.ScheduledExecutorService;
import java.util.concurrent.ScheduledFuture;
import java.util.concurrent.SynchronousQueue;
import java.util.concurrent.ThreadPoolExecutor;
import java.util.concurrent.TimeUnit;
import org.estampage.bake.Baker;
import org.estampage.mesh.Mesh;

/**
 * All jobs of a server: who waits, who bakes, and who has been kept for long enough.
 *
 * @threads safe for concurrent calls
 */
final class Jobs {
    /** When a client should ask again for a place; nobody can know when a bake ends. */
    private static final Duration RETRY = Duration.ofSeconds(5);
    private static final int ID_BYTES = 16;

    private final Limits limits;
    private final Baker baker;
    private final Room room;
    private final DiskSpace disk;
    private final ScheduledExecutorService timer;
    private final Path folder;
    private final SecureRandom random = new SecureRandom();
    private final ThreadPoolExecutor bakes;
    private final Map<String, Job> jobs = new LinkedHashMap<>();
    private final Map<String, Bake> started = new ConcurrentHashMap<>();
    private final ScheduledFuture<?> sweeps;
    private boolean closed;

    /** Makes an empty set of jobs, with a folder for theirs within a parent. */
    Jobs(Limits limits, Baker baker, Room room, ScheduledExecutorService timer, Path parent) throws IOException {
        this.limits = limits;
        this.baker = baker;
        this.room = room;
        disk = new DiskSpace(limits.diskBytes());
        this.timer = timer;
        folder = Files.createTempDirectory(parent, "estampage-server-");
        bakes = new ThreadPoolExecutor(limits.jobsAtOnce(), limits.jobsAtOnce(), 0, TimeUnit.SECONDS,
                limits.queued() == 0 ? new SynchronousQueue<>() : new ArrayBlockingQueue<>(limits.queued()),
                Thread.ofPlatform().daemon().name("estampage-job-", 0).factory());
        long sweep = Math.clamp(limits.keep().toMillis() / 4, 10, 60_000);
        sweeps = timer.scheduleWithFixedDelay(this::sweep, sweep, sweep, TimeUnit.MILLISECONDS);
    }

    /**
     * Makes a job.
     *
     * @throws ProblemException if it is too large, or there are too many jobs
     * @throws IOException      if its folder can't be made
     */
    Job create(Description description) throws ProblemException, IOException {
        if (description.texels() > limits.texels()) {
            throw new ProblemException(new Problem(ProblemKind.TOO_LARGE,
                    description.texels() + " texels in " + description.maps().size() + " maps are more than the " + limits.texels()
                            + " that this server bakes in one job",
                    List.of(new Problem.Point("/size", description.width() + " × " + description.height() + " texels a map",
                            "ask for a smaller size, or for fewer maps in several jobs")),
                    Optional.empty()));
        }
        Mesh probe = Description.probe();
        room.check(description.job(probe, List.of(probe)).build());
        byte[] bytes = new byte[ID_BYTES];
        random.nextBytes(bytes);
        String id = HexFormat.of().formatHex(bytes);
        synchronized (this) {
            checkOpen();
            if (jobs.size() >= limits.jobs()) {
                removeUnused();
            }
            if (jobs.size() >= limits.jobs()) {
                throw new ProblemException(
                        Problem.later(ProblemKind.TOO_MANY_JOBS, "there are " + jobs.size() + " jobs, all that this server keeps", RETRY));
            }
            Job job = new Job(id, description, JobFolder.in(folder, disk));
            jobs.put(id, job);
            return job;
        }
    }

    /** Returns the job of an identifier. */
    synchronized Optional<Job> find(String id) {
        return Optional.ofNullable(jobs.get(id));
    }

    /** Returns all jobs, the oldest first. */
    synchronized List<Job> all() {
        return List.copyOf(jobs.values());
    }

    /**
     * Puts a job in the queue.
     *
     * @throws ProblemException if it has not all it needs, or the queue is full
     */
    void start(Job job) throws ProblemException {
        synchronized (this) {
            checkOpen();
        }
        job.queue();
        Bake bake = new Bake(job, baker, room, limits, timer);
        started.put(job.id(), bake);
        try {
            bakes.execute(bake);
        } catch (RejectedExecutionException e) {
            started.remove(job.id());
            job.unqueue();
            throw new ProblemException(Problem.later(ProblemKind.TOO_MANY_JOBS, limits.jobsAtOnce() + " jobs are being baked and "
                    + bakes.getQueue().size() + " wait; the meshes stay here, start the job later", RETRY), e);
        }
    }

    /** Forgets a job; a bake under way is stopped, and its files go with it. */
    void remove(Job job) {
        synchronized (this) {
            jobs.remove(job.id());
        }
        job.cancel();
        Bake bake = started.remove(job.id());
        if (bake != null) {
            bakes.remove(bake); // its place in the queue is free at once
        }
        job.folder().close();
    }

    /** Removes the job that has waited longest without a mesh, if a client that still wants it would have sent one by now: else a few requests without any fill the server for an hour. */
    private void removeUnused() {
        jobs.values().stream().filter(job -> job.unused().compareTo(limits.silence()) > 0).max(Comparator.comparing(Job::unused))
                .ifPresent(this::remove);
    }

    private void sweep() {
        for (Job job : all()) {
            if (job.idle().compareTo(limits.keep()) > 0) {
                remove(job);
            }
        }
    }

    private void checkOpen() throws ProblemException {
        if (closed) {
            throw new ProblemException(Problem.later(ProblemKind.BUSY, "the server is being stopped", RETRY));
        }
    }

    /** Takes no more jobs, gives bakes under way some time, stops the rest and deletes all files. */
    void close(Duration grace) throws InterruptedException {
        synchronized (this) {
            closed = true;
        }
        sweeps.cancel(false);
        all().stream().filter(job -> job.status().state() != JobState.BAKING).forEach(this::remove);
        bakes.shutdown();
        if (!bakes.awaitTermination(grace.toMillis(), TimeUnit.MILLISECONDS)) {
            all().forEach(Job::cancel);
        }
        bakes.awaitTermination(limits.silence().toMillis(), TimeUnit.MILLISECONDS);
        all().forEach(this::remove);
        try {
            JobFolder.deleteTree(folder);
        } catch (IOException e) {
            System.getLogger(Jobs.class.getName()).log(Logger.Level.WARNING, "the jobs' folder could not be deleted", e);
        }
    }
}
