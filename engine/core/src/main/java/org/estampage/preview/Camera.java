package org.estampage.preview;

import org.estampage.bvh.RayBatch;

/**
 * Where the rays of a picture come from.
 *
 * <p>Places in the picture are x to the right and y up, in a plane at distance 1 in front of the eye where there is perspective, else in mesh units.
 *
 * @param aim         from which side
 * @param eye         the eye; without perspective, what lies in the picture's middle, beyond everything
 * @param perspective whether rays leave the eye; else they are parallel
 * @param middleX     the place in the middle of the picture
 * @param middleY     the place in the middle of the picture
 * @param halfWidth   from the middle to the sides
 * @param halfHeight  from the middle to the top
 * @threads immutable
 */
record Camera(Aim aim, Vector eye, boolean perspective, double middleX, double middleY, double halfWidth, double halfHeight) {
    /**
     * Adds the ray through a place of the picture.
     *
     * @param across from 0 at the left to 1 at the right
     * @param down   from 0 on top to 1 at the bottom
     */
    void add(double across, double down, RayBatch rays) {
        double x = middleX + halfWidth * (2 * across - 1), y = middleY + halfHeight * (1 - 2 * down);
        Vector place = aim.right().times(x).plus(y, aim.up());
        Vector from = perspective ? eye : eye.plus(1, place);
        Vector way = perspective ? place.plus(-1, aim.toward()).unit() : aim.toward().times(-1);
        rays.add((float) from.x(), (float) from.y(), (float) from.z(), (float) way.x(), (float) way.y(), (float) way.z(), 0,
                Float.POSITIVE_INFINITY);
    }

    /** Returns how wide a part of the picture's height is at a distance from the eye, in mesh units. */
    double widthAt(double distance, double partOfHeight) {
        return 2 * halfHeight * partOfHeight * (perspective ? distance : 1);
    }
}
