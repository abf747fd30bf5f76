package org.estampage.internal.kernel;

/**
 * The walks of {@link WideStream} without vectors, each ray by itself: slower, but at once, where those with vectors would have to wait for the compiler. The
 * same bits.
 *
 * @threads confined; allocates nothing after construction
 */
final class PlainStream extends WideStream {
    PlainStream() {
        super(false);
    }

    /** Lets every ray of the group be walked alone. */
    @Override
    void prepare(WideTree tree, int count) {
        int usable = 0;
        for (int k = 0; k < count; k++) {
            group.bestTriangle[k] = -1;
            usable |= group.canHit(k) ? 1 << k : 0;
        }
        group.usable = usable;
        group.odd = usable;
    }

    @Override
    void closest(WideTree tree, int walked, int octantOfGroup, int side, float[] destT, float[] destB1, float[] destB2) {
        throw new AssertionError("rays are walked alone");
    }

    @Override
    int open(WideTree tree, int walked, int octantOfGroup, int side) {
        throw new AssertionError("rays are walked alone");
    }
}
