package org.estampage.examples.server;

import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import org.estampage.bake.BakeEstimate;
import org.estampage.bake.BakeJob;
import org.estampage.bake.Baker;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Mesh;

/**
 * Refuses bakes that would take more than a server gives one, by the engine's estimate: before a job is made, when each of its meshes arrives, and before
 * it is baked.
 *
 * @threads immutable
 */
final class Room {
    private static final long MEGABYTE = 1_000_000;
    private static final long MILLION = 1_000_000;

    private final Baker baker;
    private final Limits limits;

    Room(Baker baker, Limits limits) {
        this.baker = baker;
        this.limits = limits;
    }

    /**
     * Checks a job.
     *
     * @return what it takes
     * @throws ProblemException if that is too much: with each limit that it is beyond, and what to change
     */
    BakeEstimate check(BakeJob job) throws ProblemException {
        BakeEstimate estimate = baker.estimate(job);
        List<Problem.Point> points = new ArrayList<>();
        long meshes = bytes(job.low());
        for (Mesh high : job.highs()) {
            meshes += bytes(high);
        }
        long memory = meshes + estimate.peakBytes();
        if (memory > limits.memoryBytes()) {
            boolean images = estimate.imageBytes() + estimate.workBytes() > meshes + estimate.structureBytes();
            points.add(new Problem.Point(images ? "/size" : "/meshes",
                    "the bake needs about " + megabytes(memory) + " of memory, and this server gives one bake "
                            + megabytes(limits.memoryBytes())
                            + ": meshes take " + megabytes(meshes) + ", what finds their triangles " + megabytes(estimate.structureBytes())
                            + ", images " + megabytes(estimate.imageBytes()) + ", work on them " + megabytes(estimate.workBytes()),
                    images
                            ? "ask for a smaller size, or for fewer maps in several jobs"
                            : "decimate the high polys, or bake parts of them"));
        }
        if (estimate.rays() > limits.rays()) {
            points.add(new Problem.Point("/maps",
                    "the bake traces about " + millions(estimate.rays()) + " rays above " + estimate.texels()
                            + " texels that charts cover, and this server traces " + millions(limits.rays()) + " for one bake",
                    "ask for fewer rays, fewer samples or a smaller size; charts that lie on each other count each time"));
        }
        if (!points.isEmpty()) {
            throw new ProblemException(new Problem(ProblemKind.TOO_LARGE,
                    String.join("; ", points.stream().map(Problem.Point::what).toList()), points, Optional.empty()));
        }
        return estimate;
    }

    private static String megabytes(long bytes) {
        return Math.ceilDiv(bytes, MEGABYTE) + " MB";
    }

    private static String millions(long count) {
        return Math.ceilDiv(count, MILLION) + " million";
    }

    /** Returns what a mesh holds in its arrays; lists of corners that are shared count each time. */
    private static long bytes(Mesh mesh) {
        long numbers = (long) mesh.positions().length + mesh.positionIndices().length;
        List<Attribute> attributes = new ArrayList<>(mesh.uvSets());
        attributes.addAll(mesh.colourSets());
        attributes.addAll(mesh.extras());
        mesh.normals().ifPresent(attributes::add);
        mesh.tangents().ifPresent(attributes::add);
        for (Attribute attribute : attributes) {
            numbers += (long) attribute.values().length + attribute.indices().length;
        }
        return Integer.BYTES * numbers;
    }
}
