package org.estampage.testresources;

/**
 * The cast-iron mooring bollard of a harbour museum: turned foot, waist and mushroom head, a rope wound around the waist, bolts, rivets, an anchor on
 * top, barnacles at the foot, chipped paint and rust.
 *
 * <p>All detail is a height along the outline's normal, so a lathed low poly with a cage sees every bit of it.
 *
 * @space Y up, standing on y = 0, the axis at x = z = 0
 * @units metres; 0.72 high, 0.55 across the foot
 * @threads stateless
 */
public final class Bollard {
    /** The fewest triangles that still show the outline. */
    public static final int FEWEST_TRIANGLES = 200;
    /** The most triangles that the arrays can hold with some room to spare. */
    public static final int MOST_TRIANGLES = 200_000_000;

    private Bollard() {
    }

    /**
     * Generates the bollard as one closed surface of nearly equilateral triangles, with vertex colours.
     *
     * @param triangles the wanted number, {@value #FEWEST_TRIANGLES} … {@value #MOST_TRIANGLES}; met within 2 % from 2,000 on
     * @cost linear in time; the shape's own arrays of about 22 bytes a triangle
     * @throws IllegalArgumentException if {@code triangles} is out of range
     */
    public static Shape generate(int triangles) {
        if (triangles < FEWEST_TRIANGLES || triangles > MOST_TRIANGLES) {
            throw new IllegalArgumentException("triangles: " + triangles + " must be " + FEWEST_TRIANGLES + " … " + MOST_TRIANGLES);
        }
        return TurnedMesh.mesh(BollardCarving.OUTLINE, new BollardCarving(), triangles);
    }
}
