package org.estampage.examples.server;

import java.time.Duration;
import java.util.EnumMap;
import java.util.EnumSet;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import org.estampage.task.Cancellation;
import org.jspecify.annotations.Nullable;

/**
 * One job, from its description to its maps. Whatever changes is counted, so that who follows it can wait for the next change and miss none.
 *
 * @threads safe for concurrent calls
 */
final class Job {
    /**
     * A job at one moment.
     *
     * @param change   how many changes there were
     * @param state    how far it has come
     * @param stage    what is being done, empty while nothing is
     * @param done     units of the stage that are done
     * @param total    units of the stage, or −1 when unknown
     * @param time     how long it has been baking, or was
     * @param meshes   the meshes that are there
     * @param outcome  its files, once it is done
     * @param problem  why it failed, if it did
     */
    record Status(long change, JobState state, String stage, long done, long total, Duration time, Map<MeshRole, Upload> meshes,
            Optional<Outcome> outcome, Optional<Problem> problem) {
    }

    private final String id;
    private final Description description;
    private final JobFolder folder;
    private final Cancellation cancellation = new Cancellation();
    private final Map<MeshRole, Upload> meshes = new EnumMap<>(MeshRole.class);
    private final Set<MeshRole> arriving = EnumSet.noneOf(MeshRole.class);
    private JobState state = JobState.WAITING;
    private String stage = "";
    private long done;
    private long total = -1;
    private long change;
    private long lastHeardOf = System.nanoTime();
    private long bakingSince;
    private long bakingUntil;
    private @Nullable Outcome outcome;
    private @Nullable Problem problem;

    Job(String id, Description description, JobFolder folder) {
        this.id = id;
        this.description = description;
        this.folder = folder;
    }

    String id() {
        return id;
    }

    Description description() {
        return description;
    }

    JobFolder folder() {
        return folder;
    }

    Cancellation cancellation() {
        return cancellation;
    }

    /** Returns how the job stands. */
    synchronized Status status() {
        long end = state == JobState.BAKING ? System.nanoTime() : bakingUntil;
        return new Status(change, state, stage, done, total, Duration.ofNanos(end - bakingSince), Map.copyOf(meshes),
                Optional.ofNullable(outcome), Optional.ofNullable(problem));
    }

    /**
     * Waits for a change after one that is known, or for some time.
     *
     * @return how the job stands then
     */
    synchronized Status await(long known, Duration time) throws InterruptedException {
        long until = System.nanoTime() + time.toNanos();
        for (long left = time.toMillis(); change <= known && left > 0; left = (until - System.nanoTime()) / 1_000_000) {
            wait(left);
        }
        return status();
    }

    /** Waits until nothing will happen any more, or for some time; returns whether it is so. */
    boolean awaitEnd(Duration time) throws InterruptedException {
        long until = System.nanoTime() + time.toNanos();
        Status now = status();
        while (!now.state().isEnd() && until - System.nanoTime() > 0) {
            now = await(now.change(), Duration.ofNanos(until - System.nanoTime()));
        }
        return now.state().isEnd();
    }

    /** Returns for how long nothing has happened to a job that waits or has ended; nothing for others. */
    synchronized Duration idle() {
        boolean rests = state.isEnd() || (state == JobState.WAITING && arriving.isEmpty());
        return rests ? Duration.ofNanos(System.nanoTime() - lastHeardOf) : Duration.ZERO;
    }

    /** Returns for how long nobody has sent a mesh for a job that has none; nothing for others. */
    synchronized Duration unused() {
        return meshes.isEmpty() && state == JobState.WAITING ? idle() : Duration.ZERO;
    }

    /**
     * Begins to take a mesh.
     *
     * @throws ProblemException if the job takes none any more, or this one is under way already
     */
    synchronized void meshArrives(MeshRole role) throws ProblemException {
        demand(JobState.WAITING, "meshes are taken until the job is started");
        if (!arriving.add(role)) {
            throw new ProblemException(ProblemKind.WRONG_STATE, "the mesh " + role.id() + " is being sent already");
        }
    }

    /** Ends the taking of a mesh that is whole; returns the one that was there before. */
    synchronized Optional<Upload> meshArrived(MeshRole role, Upload upload) {
        Upload before = meshes.put(role, upload);
        changed();
        return Optional.ofNullable(before);
    }

    /** Ends the taking of a mesh, whole or not. */
    synchronized void meshEnds(MeshRole role) {
        arriving.remove(role);
        lastHeardOf = System.nanoTime();
    }

    /**
     * Lets the job wait for its turn.
     *
     * @throws ProblemException if it was started before, or a mesh is missing or under way
     */
    synchronized void queue() throws ProblemException {
        demand(JobState.WAITING, "a job is started once");
        if (!arriving.isEmpty()) {
            throw new ProblemException(ProblemKind.WRONG_STATE,
                    "meshes are still being sent: " + names(arriving));
        }
        if (!meshes.containsKey(MeshRole.LOW) || meshes.keySet().stream().noneMatch(MeshRole::isHigh)) {
            throw new ProblemException(ProblemKind.WRONG_STATE,
                    "send the meshes low and high first; there "
                            + (meshes.isEmpty() ? "is none yet" : "is only " + names(meshes.keySet())));
        }
        if (meshes.containsKey(MeshRole.CAGE) && description.offset().isPresent()) {
            throw new ProblemException(Problem.notUsable("/offset", "the job has an offset and a cage", "leave one of them out"));
        }
        to(JobState.QUEUED);
    }

    /** Takes the job back to where meshes are taken: there was no room in the queue. */
    synchronized void unqueue() {
        if (state == JobState.QUEUED) {
            to(JobState.WAITING);
        }
    }

    /** Marks the begin of the bake; returns whether it may begin. */
    synchronized boolean begin() {
        if (state != JobState.QUEUED) {
            return false;
        }
        bakingSince = System.nanoTime();
        to(JobState.BAKING);
        return true;
    }

    /** Notes how far the bake is. Workers report at once and can overtake each other: a stage never goes back. */
    synchronized void progress(String name, long units, long of) {
        if (name.equals(stage) && units < done && units > 0) {
            return;
        }
        stage = name;
        done = units;
        total = of;
        changed();
    }

    /** Ends a bake well. */
    synchronized void finish(Outcome files) {
        outcome = files;
        end(JobState.DONE);
    }

    /** Ends a bake badly. */
    synchronized void fail(Problem why) {
        problem = why;
        end(JobState.FAILED);
    }

    /** Stops the job, whatever it does; a bake under way ends at its next look. */
    synchronized void cancel() {
        cancellation.cancel();
        if (state == JobState.WAITING || state == JobState.QUEUED) {
            end(JobState.CANCELLED);
        }
    }

    /** Ends a bake that has seen that it was cancelled. */
    synchronized void cancelled() {
        end(JobState.CANCELLED);
    }

    private static String names(Set<MeshRole> roles) {
        return String.join(", ", roles.stream().map(MeshRole::id).toList());
    }

    private void end(JobState how) {
        bakingUntil = state == JobState.BAKING ? System.nanoTime() : bakingSince;
        stage = "";
        done = 0;
        total = -1;
        to(how);
    }

    private void to(JobState next) {
        state = next;
        lastHeardOf = System.nanoTime();
        changed();
    }

    private void changed() {
        change++;
        notifyAll();
    }

    private void demand(JobState wanted, String rule) throws ProblemException {
        if (state != wanted) {
            throw new ProblemException(ProblemKind.WRONG_STATE, "the job is " + state.id() + ": " + rule);
        }
    }
}
