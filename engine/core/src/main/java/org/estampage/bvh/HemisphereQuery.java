package org.estampage.bvh;

import java.util.Objects;
import java.util.Optional;
import org.estampage.mesh.Axis;

/**
 * What is asked about the half space, or a cone, above a point. Equal queries of several maps are traced once.
 *
 * @param distribution how directions are spread
 * @param raysPerTexel how many directions a texel gets, spread over its samples
 * @param reach        how far a blocker counts, in mesh units; infinity for any distance
 * @param halfAngle    degrees between the axis and the farthest direction: above 0, at most 90, which is the whole half space
 * @param side         whether rays leave the surface outwards, about its normal, or inwards, about the opposite of it
 * @param answer       what is added up
 * @param facing       which sides of blockers count
 * @param ownPart      whether only the parts block that the low poly's part is paired with, instead of everything
 * @param ground       a plane that blocks beside the meshes
 * @param error        the standard error that a texel's openness may have: rays stop at what should reach it, {@code raysPerTexel} at most; 0 for all rays
 * @threads immutable
 */
public record HemisphereQuery(Distribution distribution, int raysPerTexel, float reach, double halfAngle, Side side, Answer answer,
        Facing facing, boolean ownPart, Optional<Ground> ground, double error) {
    /** How directions are spread. */
    public enum Distribution {
        /** In proportion to the cosine with the axis. */
        COSINE,
        /** The same density everywhere. */
        UNIFORM
    }

    /** Which way rays leave the surface. */
    public enum Side {
        /** About the normal. */
        OUTSIDE,
        /** About the opposite of the normal, into the material. */
        INSIDE
    }

    /** What is added up over the rays. */
    public enum Answer {
        /** How many are open, and their directions. */
        OPENNESS,
        /** Also how far the blockers are, and how much those count that fade with the distance; takes first hits, which cost more. */
        DISTANCE
    }

    /**
     * An endless plane that blocks rays which go down. What lies under it counts as on it: the underside of a thing that stands there is closed.
     *
     * @param up     the axis that stands on it
     * @param height its coordinate on that axis, in mesh units
     */
    public record Ground(Axis up, float height) {
        /**
         * Checks the height.
         *
         * @throws IllegalArgumentException if it is not finite
         */
        public Ground {
            Objects.requireNonNull(up, "up");
            if (!Float.isFinite(height)) {
                throw new IllegalArgumentException("height = " + height + " must be finite");
            }
        }
    }

    /**
     * Checks the numbers.
     *
     * @throws IllegalArgumentException if {@code raysPerTexel} is not 1 … 65536, {@code reach} is not positive, {@code halfAngle} not above 0
     *                                  and at most 90 or {@code error} not 0 … 0.5
     */
    public HemisphereQuery {
        Objects.requireNonNull(distribution, "distribution");
        Objects.requireNonNull(side, "side");
        Objects.requireNonNull(answer, "answer");
        Objects.requireNonNull(facing, "facing");
        Objects.requireNonNull(ground, "ground");
        if (raysPerTexel < 1 || raysPerTexel > 65536) {
            throw new IllegalArgumentException("raysPerTexel = " + raysPerTexel + " must be 1 … 65536");
        }
        if (!(reach > 0)) {
            throw new IllegalArgumentException("reach = " + reach + " must be positive");
        }
        if (!(halfAngle > 0 && halfAngle <= 90)) {
            throw new IllegalArgumentException("halfAngle = " + halfAngle + " must be above 0 and at most 90 degrees");
        }
        if (!(error >= 0 && error <= 0.5)) {
            throw new IllegalArgumentException("error = " + error + " must be 0 … 0.5");
        }
    }

    /**
     * Asks how open the half space about the normal is, both sides of everything blocking.
     *
     * @throws IllegalArgumentException if a number is out of its range
     */
    public HemisphereQuery(Distribution distribution, int raysPerTexel, float reach) {
        this(distribution, raysPerTexel, reach, 90, Side.OUTSIDE, Answer.OPENNESS, Facing.BOTH, false, Optional.empty(), 0);
    }

    /** Returns the query with this distribution. */
    public HemisphereQuery spread(Distribution value) {
        return new HemisphereQuery(value, raysPerTexel, reach, halfAngle, side, answer, facing, ownPart, ground, error);
    }

    /**
     * Returns the query in which only nearer blockers count.
     *
     * @throws IllegalArgumentException if {@code length} is not positive
     */
    public HemisphereQuery upTo(float length) {
        return new HemisphereQuery(distribution, raysPerTexel, length, halfAngle, side, answer, facing, ownPart, ground, error);
    }

    /**
     * Returns the query about directions up to so many degrees from the axis.
     *
     * @throws IllegalArgumentException if they are not above 0 and at most 90
     */
    public HemisphereQuery within(double degrees) {
        return new HemisphereQuery(distribution, raysPerTexel, reach, degrees, side, answer, facing, ownPart, ground, error);
    }

    /** Returns the query with rays into the material. */
    public HemisphereQuery inside() {
        return new HemisphereQuery(distribution, raysPerTexel, reach, halfAngle, Side.INSIDE, answer, facing, ownPart, ground, error);
    }

    /** Returns the query that also adds up distances. */
    public HemisphereQuery measured() {
        return new HemisphereQuery(distribution, raysPerTexel, reach, halfAngle, side, Answer.DISTANCE, facing, ownPart, ground, error);
    }

    /** Returns the query that adds up openness alone. */
    public HemisphereQuery counted() {
        return new HemisphereQuery(distribution, raysPerTexel, reach, halfAngle, side, Answer.OPENNESS, facing, ownPart, ground, error);
    }

    /** Returns the query in which these sides of triangles block. */
    public HemisphereQuery blockedBy(Facing sides) {
        return new HemisphereQuery(distribution, raysPerTexel, reach, halfAngle, side, answer, sides, ownPart, ground, error);
    }

    /** Returns the query in which only the parts block that the low poly's part is paired with. */
    public HemisphereQuery byOwnPart() {
        return new HemisphereQuery(distribution, raysPerTexel, reach, halfAngle, side, answer, facing, true, ground, error);
    }

    /** Returns the query with a plane that blocks, too. */
    public HemisphereQuery above(Ground plane) {
        return new HemisphereQuery(distribution, raysPerTexel, reach, halfAngle, side, answer, facing, ownPart, Optional.of(plane), error);
    }

    /**
     * Returns the query whose texels get as many rays as should bring the standard error of their openness down to this.
     *
     * @throws IllegalArgumentException if it is not 0 … 0.5; 0 asks for all rays everywhere
     */
    public HemisphereQuery to(double standardError) {
        return new HemisphereQuery(distribution, raysPerTexel, reach, halfAngle, side, answer, facing, ownPart, ground, standardError);
    }

    /** Returns whether only open rays of a whole half space are counted, with both sides of the meshes alone blocking: what kernels do by themselves. */
    boolean plain() {
        return halfAngle == 90 && answer == Answer.OPENNESS && facing == Facing.BOTH && ground.isEmpty();
    }
}
