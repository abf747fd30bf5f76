package org.estampage.lowpoly;

import java.util.Objects;
import org.estampage.mesh.Axis;
import org.estampage.mesh.Cleanup;
import org.estampage.mesh.InvalidMeshException;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.MeshSource;
import org.estampage.task.Task;

/**
 * A low poly of a scan in one call: cleaned up, without what is hidden inside, decimated, and mended, so that it can be unwrapped, caged and baked.
 *
 * <p>The steps are {@link Cleanup}, {@link HiddenParts}, {@link Decimate#withoutWelding} and {@link Cleanup} again: what the one step leaves is what the
 * next one needs. In the result every edge has one triangle or two in opposite directions, no two triangles coincide, and around each vertex the
 * triangles make one fan. What each step noticed stands in the mesh's findings.
 *
 * <p>Bake from the scan itself, not from what the steps make of it.
 *
 * @space the scan's own
 * @edge a scan that has no more triangles than asked for is cleaned up, but not decimated
 * @threads confined; {@link #build} works on the caller's fork-join pool or the common one and gives the same bits on any number of threads
 */
public final class ScanLowPoly implements MeshSource {
    private final Cleanup cleanup;
    private final HiddenParts hidden;
    private final Decimate decimate;
    private boolean keepsHidden;
    private boolean asksForHidden;
    private boolean cards;
    private Task task = Task.silent();

    private ScanLowPoly(MeshSource scan) {
        cleanup = Cleanup.of(scan);
        hidden = HiddenParts.of(cleanup);
        decimate = Decimate.of(new Shown(this)).withoutWelding();
    }

    /**
     * What is decimated: a class and not a lambda, so that it can be told from another by what it holds.
     *
     * @param scan whose options say whether hidden parts go
     */
    private record Shown(ScanLowPoly scan) implements MeshSource {
        @Override
        public Mesh build() {
            return scan.keepsHidden ? scan.cleanup.build() : scan.hidden.build();
        }
    }

    /** Starts a low poly of a scan; {@link #triangles} or {@link #error} must follow. */
    public static ScanLowPoly of(MeshSource scan) {
        return new ScanLowPoly(Objects.requireNonNull(scan, "scan"));
    }

    /**
     * Sets how many triangles there may be, as {@link Decimate#triangles}.
     *
     * @throws IllegalArgumentException if it is below 1
     */
    public ScanLowPoly triangles(int most) {
        decimate.triangles(most);
        return this;
    }

    /**
     * Sets how far the surface may move, as {@link Decimate#error}; what was hidden and went doesn't count.
     *
     * @throws IllegalArgumentException if it is not finite or negative
     */
    public ScanLowPoly error(double meshUnits) {
        decimate.error(meshUnits);
        return this;
    }

    /**
     * Sets how far the surface may move, as {@link Decimate#errorFraction}.
     *
     * @throws IllegalArgumentException if it is not finite or negative
     */
    public ScanLowPoly errorFraction(double ofDiagonal) {
        decimate.errorFraction(ofDiagonal);
        return this;
    }

    /**
     * Makes exactly those edges hard whose facets turn by more than an angle, as {@link Decimate#hardEdges}.
     *
     * @throws IllegalArgumentException if the angle is outside 0 … 180
     */
    public ScanLowPoly hardEdges(double degrees) {
        decimate.hardEdges(degrees);
        return this;
    }

    /** Keeps both sides of thin cards, as {@link Cleanup#cards}. */
    public ScanLowPoly cards() {
        cleanup.cards();
        cards = true;
        return this;
    }

    /**
     * Keeps what is hidden inside.
     *
     * @throws IllegalStateException if it was said what counts as hidden
     */
    public ScanLowPoly keepHidden() {
        if (asksForHidden) {
            throw new IllegalStateException("keepHidden() after openness or onGround: what counts as hidden has no effect then");
        }
        keepsHidden = true;
        return this;
    }

    /**
     * Lets what is hardly seen go, too, as {@link HiddenParts#openness}.
     *
     * @throws IllegalArgumentException if the share is outside 0 … {@value HiddenParts#MOST_OPENNESS}
     * @throws IllegalStateException    if hidden parts are kept
     */
    public ScanLowPoly openness(double share) {
        askForHidden("openness");
        hidden.openness(share);
        return this;
    }

    /**
     * Stands the scan on the ground, as {@link HiddenParts#onGround}.
     *
     * @throws IllegalStateException if hidden parts are kept
     */
    public ScanLowPoly onGround(Axis up) {
        askForHidden("onGround");
        hidden.onGround(up);
        return this;
    }

    private void askForHidden(String option) {
        if (keepsHidden) {
            throw new IllegalStateException(option + " after keepHidden(): what counts as hidden has no effect then");
        }
        asksForHidden = true;
    }

    /** Sets who hears of progress and can cancel. */
    public ScanLowPoly task(Task value) {
        task = Objects.requireNonNull(value, "value");
        cleanup.task(task);
        hidden.task(task);
        decimate.task(task);
        return this;
    }

    /**
     * Returns the low poly, named as {@link Decimate} names it.
     *
     * @throws IllegalStateException                      if neither a number of triangles nor an error was set
     * @throws InvalidMeshException                       if a position is not finite
     * @throws java.util.concurrent.CancellationException if the task was cancelled
     * @cost that of its steps; {@link Decimate} takes most memory, {@link HiddenParts} most time
     */
    @Override
    public Mesh build() {
        return task.recalled(Mesh.class, this, this::mended);
    }

    private Mesh mended() {
        Cleanup mending = Cleanup.of(decimate).task(task);
        return (cards ? mending.cards() : mending).build();
    }
}
