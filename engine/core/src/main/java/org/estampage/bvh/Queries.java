package org.estampage.bvh;

/** What tracers check and translate before their kernels run. */
final class Queries {
    private Queries() {
    }

    static void checkRoom(int rays, int room) {
        if (room < rays) {
            throw new IllegalArgumentException("dest has room for " + room + " answers, there are " + rays + " rays");
        }
    }

    static int side(Facing facing) {
        return switch (facing) {
            case BOTH -> 0;
            case FRONT -> 1;
            case BACK -> -1;
        };
    }
}
