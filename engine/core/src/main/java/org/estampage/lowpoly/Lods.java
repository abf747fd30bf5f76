package org.estampage.lowpoly;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Objects;
import org.estampage.bvh.Bvh;
import org.estampage.bvh.PointBatch;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.MeshSource;
import org.estampage.task.Task;

/**
 * A chain of ever coarser meshes that share the first one's maps: levels of detail for drawing from farther away.
 *
 * <p>Each level is a {@link Decimate decimation} of the one before, so seams stay seams and their vertices stay where they were, in space and in UV.
 * Each says how far it is from the first mesh, and how far detail moves. A level that seams, hard edges and topology keep from its number of triangles
 * says so in its findings.
 *
 * @threads confined
 */
public final class Lods {
    private static final int POINTS = 100_000;
    private static final int BATCH = 4096;

    private final MeshSource low;
    private int[] triangles = new int[0];
    private double[] factors = {0.5, 0.25, 0.125};
    private Task task = Task.silent();

    private Lods(MeshSource low) {
        this.low = low;
    }

    /** Starts a chain at a low poly: halves, quarters and eighths unless something else is said. */
    public static Lods of(MeshSource low) {
        return new Lods(Objects.requireNonNull(low, "low"));
    }

    /**
     * Sets how many triangles each level may have.
     *
     * @throws IllegalArgumentException if there is no number, one is below 1, or one is not below the one before
     */
    public Lods triangles(int... most) {
        if (most.length == 0) {
            throw new IllegalArgumentException("triangles: at least one number is needed");
        }
        for (int i = 0; i < most.length; i++) {
            if (most[i] < 1 || (i > 0 && most[i] >= most[i - 1])) {
                throw new IllegalArgumentException(
                        "triangles[" + i + "] = " + most[i] + " must be at least 1 and below the number before it");
            }
        }
        triangles = most.clone();
        factors = new double[0];
        return this;
    }

    /**
     * Sets which part of the first mesh's triangles each level may have.
     *
     * @throws IllegalArgumentException if there is no factor, one is not between 0 and 1, or one is not below the one before
     */
    public Lods factors(double... ofFirst) {
        if (ofFirst.length == 0) {
            throw new IllegalArgumentException("factors: at least one is needed");
        }
        for (int i = 0; i < ofFirst.length; i++) {
            if (!(ofFirst[i] > 0 && ofFirst[i] < 1) || (i > 0 && ofFirst[i] >= ofFirst[i - 1])) {
                throw new IllegalArgumentException(
                        "factors[" + i + "] = " + ofFirst[i] + " must be between 0 and 1 and below the factor before it");
            }
        }
        factors = ofFirst.clone();
        triangles = new int[0];
        return this;
    }

    /** Sets who hears of progress and can cancel. */
    public Lods task(Task value) {
        task = Objects.requireNonNull(value, "value");
        return this;
    }

    /**
     * Returns the levels, finest first, without the first mesh; they are named after it, with the endings {@code -lod1}, {@code -lod2} and so on.
     *
     * @throws org.estampage.mesh.InvalidMeshException    if the first mesh has no triangles or positions that are not finite
     * @throws java.util.concurrent.CancellationException if the task was cancelled
     * @cost a decimation and two measurements at 100,000 points a level
     */
    public List<Lod> build() {
        return task.recalled(Levels.class, this, () -> new Levels(levels())).list();
    }

    /** All levels as one value. */
    private record Levels(List<Lod> list) {
    }

    private List<Lod> levels() {
        Mesh first = low.build();
        int[] targets = triangles.length > 0
                ? triangles
                : Arrays.stream(factors).mapToInt(f -> (int) Math.max(1, Math.floor(f * first.triangleCount()))).toArray();
        Bvh tracer = Bvh.build(first, task);
        List<Lod> levels = new ArrayList<>();
        Mesh previous = first;
        for (int i = 0; i < targets.length; i++) {
            Mesh mesh = Decimate.of(previous).triangles(targets[i]).task(task).build().toBuilder().name(first.name() + "-lod" + (i + 1))
                    .build();
            SurfaceDistance up = SurfaceDistance.between(mesh, first, tracer, POINTS, task);
            SurfaceDistance down = SurfaceDistance.between(first, mesh, POINTS, task);
            levels.add(new Lod(mesh, SurfaceDistance.worseOf(up, down), shift(first, mesh, task)));
            previous = mesh;
        }
        return List.copyOf(levels);
    }

    /** Measures how far detail moves: finds for each point of the level the first mesh's point with the same UVs. */
    static Lod.Shift shift(Mesh first, Mesh level, Task task) {
        if (first.uvSets().isEmpty()) {
            return new Lod.Shift(0, 0);
        }
        // The first mesh's charts as a flat mesh: nearest points in it are nearest UVs.
        Attribute uv = first.uvSets().get(0);
        float[] flat = new float[3 * uv.count()];
        for (int i = 0; i < uv.count(); i++) {
            flat[3 * i] = uv.values()[2 * i];
            flat[3 * i + 1] = uv.values()[2 * i + 1];
        }
        Bvh charts = Bvh.build(Mesh.builder(flat, uv.indices()).build(), task);
        Samples samples = Samples.over(level, POINTS);
        Attribute levelUv = level.uvSets().get(0);
        PointBatch batch = new PointBatch(BATCH);
        double sum = 0;
        double largest = 0;
        int counted = 0;
        double[] here = new double[3];
        double[] there = new double[3];
        for (int begin = 0; begin < POINTS; begin += BATCH) {
            task.check();
            batch.size = 0;
            int end = Math.min(POINTS, begin + BATCH);
            for (int i = begin; i < end; i++) {
                samples.at(i, levelUv.values(), 2, levelUv.indices(), here);
                batch.add((float) here[0], (float) here[1], 0, Float.POSITIVE_INFINITY);
            }
            charts.nearestPoints(batch);
            for (int i = begin; i < end; i++) {
                int k = i - begin;
                if (batch.triangle[k] < 0) {
                    continue;
                }
                samples.at(i, level.positions(), 3, level.positionIndices(), here);
                Samples.at(batch.triangle[k], batch.b1[k], batch.b2[k], first.positions(), 3, first.positionIndices(), there);
                double dx = here[0] - there[0], dy = here[1] - there[1], dz = here[2] - there[2];
                double d = Math.sqrt(dx * dx + dy * dy + dz * dz);
                sum += d;
                largest = Math.max(largest, d);
                counted++;
            }
        }
        return new Lod.Shift(counted == 0 ? 0 : sum / counted, largest);
    }
}
