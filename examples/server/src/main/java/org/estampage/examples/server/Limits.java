package org.estampage.examples.server;

import java.time.Duration;
import java.util.Locale;

/**
 * What a server lets its clients have.
 *
 * @param jobsAtOnce   bakes that run at the same time; they share the processors
 * @param queued       jobs that may wait for their turn
 * @param jobs         jobs in all: those that wait for meshes or their turn, run, or are kept with their maps
 * @param uploadBytes  the largest mesh file
 * @param triangles    the most triangles of one mesh
 * @param texels       the most texels of one job, over all its maps
 * @param rays         the most rays of one job, as the engine estimates them
 * @param memoryBytes  the heap that reading a mesh, or one bake with its meshes, may take for its large arrays
 * @param diskBytes    the files of all jobs together: meshes, maps, and what is under way
 * @param bakeTime     how long one bake may take
 * @param keep         how long a job is kept after it has ended, or without hearing of it while it waits for meshes
 * @param silence      how long a client may send or take nothing while it should
 * @param uploadTime   how long one mesh may be under way, and then be read
 * @param heartbeat    how long a stream of events may be silent before a comment shows that it lives
 * @param requests     requests that are answered at the same time, streams of events among them
 * @threads immutable
 */
public record Limits(int jobsAtOnce, int queued, int jobs, long uploadBytes, long triangles, long texels, long rays,
        long memoryBytes, long diskBytes, Duration bakeTime, Duration keep, Duration silence, Duration uploadTime, Duration heartbeat,
        int requests) {
    /**
     * Checks that each is usable.
     *
     * @throws IllegalArgumentException if a number or time is not above 0; {@code queued} may be 0
     */
    public Limits {
        positive("jobsAtOnce", jobsAtOnce);
        if (queued < 0) {
            throw new IllegalArgumentException("queued = " + queued + " must be 0 or more");
        }
        positive("jobs", jobs);
        positive("uploadBytes", uploadBytes);
        positive("triangles", triangles);
        positive("texels", texels);
        positive("rays", rays);
        positive("memoryBytes", memoryBytes);
        positive("diskBytes", diskBytes);
        positive("bakeTime", bakeTime.toMillis());
        positive("keep", keep.toMillis());
        positive("silence", silence.toMillis());
        positive("uploadTime", uploadTime.toMillis());
        positive("heartbeat", heartbeat.toMillis());
        positive("requests", requests);
    }

    private static void positive(String name, long value) {
        if (value <= 0) {
            throw new IllegalArgumentException(String.format(Locale.ROOT, "%s = %d must be above 0", name, value));
        }
    }

    /**
     * Returns limits for one machine with a handful of artists: one bake at a time, half of this JVM's heap for it, and as many rays as eight processors
     * trace in about the half hour that it may take.
     */
    public static Limits usual() {
        return new Limits(1, 8, 64, 1L << 30, 20_000_000, 8L * 4096 * 4096, 20_000_000_000L, Runtime.getRuntime().maxMemory() / 2,
                32L << 30,
                Duration.ofMinutes(30), Duration.ofHours(1), Duration.ofSeconds(30), Duration.ofMinutes(15), Duration.ofSeconds(15), 64);
    }

    /** Returns these limits with other numbers of jobs. */
    public Limits withJobs(int running, int waiting, int inAll) {
        return new Limits(running, waiting, inAll, uploadBytes, triangles, texels, rays, memoryBytes, diskBytes, bakeTime, keep, silence,
                uploadTime, heartbeat, requests);
    }

    /** Returns these limits with other sizes. */
    public Limits withSizes(long bytes, long mostTriangles, long mostTexels, long memory) {
        return new Limits(jobsAtOnce, queued, jobs, bytes, mostTriangles, mostTexels, rays, memory, diskBytes, bakeTime, keep, silence,
                uploadTime, heartbeat, requests);
    }

    /** Returns these limits with other ones of rays and of files. */
    public Limits withRaysAndDisk(long mostRays, long disk) {
        return new Limits(jobsAtOnce, queued, jobs, uploadBytes, triangles, texels, mostRays, memoryBytes, disk, bakeTime, keep, silence,
                uploadTime, heartbeat, requests);
    }

    /** Returns these limits with other times for bakes and what they leave. */
    public Limits withJobTimes(Duration bake, Duration kept) {
        return new Limits(jobsAtOnce, queued, jobs, uploadBytes, triangles, texels, rays, memoryBytes, diskBytes, bake, kept, silence,
                uploadTime, heartbeat, requests);
    }

    /** Returns these limits with other times for clients. */
    public Limits withClientTimes(Duration silent, Duration upload, Duration beat) {
        return new Limits(jobsAtOnce, queued, jobs, uploadBytes, triangles, texels, rays, memoryBytes, diskBytes, bakeTime, keep, silent,
                upload, beat, requests);
    }

    /** Returns these limits with another number of requests at the same time. */
    public Limits withRequests(int atOnce) {
        return new Limits(jobsAtOnce, queued, jobs, uploadBytes, triangles, texels, rays, memoryBytes, diskBytes, bakeTime, keep, silence,
                uploadTime, heartbeat, atOnce);
    }

    /** Returns how many of the requests may be of those that take long, uploads and streams of events; the rest is kept for short ones. */
    int longRequests() {
        return Math.max(1, requests - requests / 4);
    }
}
