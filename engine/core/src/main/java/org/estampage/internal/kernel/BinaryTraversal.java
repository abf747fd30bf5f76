package org.estampage.internal.kernel;

/**
 * Walks a {@link BinaryTree}: closest hits, any hits, nearest points; and the stacks that this takes.
 *
 * <p>A box is passed by when the ray leaves it before it enters it, leaves it before tMin, or enters it beyond the best hit so far. Boxes are padded for
 * the largest distance within the whole tree, which is at least the pad of the triangle test, see {@link WatertightRay}: the answers are those of
 * testing every triangle.
 *
 * @threads confined; allocates nothing after construction
 */
public final class BinaryTraversal {
    private final WatertightRay ray = new WatertightRay();
    private final NearestPoint point = new NearestPoint();
    private final int[] stack = new int[BinaryTree.DEEPEST];
    private final float[] stackEnter = new float[BinaryTree.DEEPEST];
    private final double[] stackSquare = new double[BinaryTree.DEEPEST];

    /** Makes the stacks. */
    public BinaryTraversal() {
    }

    /**
     * Finds first hits; the arrays are those of a ray batch and a hit batch.
     *
     * @param side as for {@link WatertightRay#set}
     */
    public void closestHits(BinaryTree tree, int size, float[] ox, float[] oy, float[] oz, float[] dx, float[] dy, float[] dz, float[] tMin,
            float[] tMax, int side, float[] destT, float[] destB1, float[] destB2, int[] destTriangle) {
        for (int i = 0; i < size; i++) {
            destTriangle[i] = -1;
            if (tree.numbers.length != 0 && ray.set(ox[i], oy[i], oz[i], dx[i], dy[i], dz[i], tMin[i], tMax[i], side)) {
                walk(tree, false, i, destT, destB1, destB2, destTriangle);
            }
        }
    }

    /** Finds whether rays hit anything. */
    public void anyHits(BinaryTree tree, int size, float[] ox, float[] oy, float[] oz, float[] dx, float[] dy, float[] dz, float[] tMin,
            float[] tMax, int side, boolean[] dest) {
        for (int i = 0; i < size; i++) {
            dest[i] = tree.numbers.length != 0 && ray.set(ox[i], oy[i], oz[i], dx[i], dy[i], dz[i], tMin[i], tMax[i], side)
                    && walk(tree, true, i, NO_FLOATS, NO_FLOATS, NO_FLOATS, NO_INTS);
        }
    }

    private static final float[] NO_FLOATS = {};
    private static final int[] NO_INTS = {};

    private boolean walk(BinaryTree tree, boolean any, int i, float[] destT, float[] destB1, float[] destB2, int[] destTriangle) {
        float[] nodes = tree.nodes;
        float[] triangles = tree.triangles;
        int[] numbers = tree.numbers;
        WatertightRay r = ray;
        int[] links = stack;
        float[] enters = stackEnter;
        float ix = r.inverseX;
        float iy = r.inverseY;
        float iz = r.inverseZ;
        float tMin = r.tMin;
        float best = r.tMax;
        // Where near and far planes stand in a record, and the origins that pad them.
        float reachX = Math.max(Math.abs(tree.minX - r.originX), Math.abs(tree.maxX - r.originX));
        float reachY = Math.max(Math.abs(tree.minY - r.originY), Math.abs(tree.maxY - r.originY));
        float reachZ = Math.max(Math.abs(tree.minZ - r.originZ), Math.abs(tree.maxZ - r.originZ));
        float reach = Math.max(Math.max(reachX, reachY), reachZ);
        float padX = Math.copySign(WatertightRay.pad(reach, r.originX), ix);
        float padY = Math.copySign(WatertightRay.pad(reach, r.originY), iy);
        float padZ = Math.copySign(WatertightRay.pad(reach, r.originZ), iz);
        float nearOriginX = r.originX + padX;
        float nearOriginY = r.originY + padY;
        float nearOriginZ = r.originZ + padZ;
        float farOriginX = r.originX - padX;
        float farOriginY = r.originY - padY;
        float farOriginZ = r.originZ - padZ;
        int nearX = ix < 0f ? 2 : 0;
        int nearY = iy < 0f ? 6 : 4;
        int nearZ = iz < 0f ? 10 : 8;
        int farX = 2 - nearX;
        int farY = 10 - nearY;
        int farZ = 18 - nearZ;
        int bestTriangle = -1;
        int depth = 0;
        int link = tree.root;
        while (true) {
            if (link >= 0) {
                float enterL = Math.max(Math.max((nodes[link + nearX] - nearOriginX) * ix, (nodes[link + nearY] - nearOriginY) * iy),
                        Math.max((nodes[link + nearZ] - nearOriginZ) * iz, tMin));
                float leaveL = Math.min(Math.min((nodes[link + farX] - farOriginX) * ix, (nodes[link + farY] - farOriginY) * iy),
                        Math.min((nodes[link + farZ] - farOriginZ) * iz, best));
                float enterR = Math.max(
                        Math.max((nodes[link + nearX + 1] - nearOriginX) * ix, (nodes[link + nearY + 1] - nearOriginY) * iy),
                        Math.max((nodes[link + nearZ + 1] - nearOriginZ) * iz, tMin));
                float leaveR = Math.min(Math.min((nodes[link + farX + 1] - farOriginX) * ix, (nodes[link + farY + 1] - farOriginY) * iy),
                        Math.min((nodes[link + farZ + 1] - farOriginZ) * iz, best));
                boolean metL = enterL <= leaveL;
                boolean metR = enterR <= leaveR;
                if (metL && metR) { // the nearer child first
                    int swap = enterR < enterL ? 1 : 0;
                    links[depth] = Float.floatToRawIntBits(nodes[link + BinaryTree.LINKS + 1 - swap]);
                    enters[depth++] = swap == 1 ? enterL : enterR;
                    link = Float.floatToRawIntBits(nodes[link + BinaryTree.LINKS + swap]);
                    continue;
                }
                if (metL || metR) {
                    link = Float.floatToRawIntBits(nodes[link + BinaryTree.LINKS + (metL ? 0 : 1)]);
                    continue;
                }
            } else {
                int first = BinaryTree.leafFirst(link);
                int end = first + BinaryTree.leafCount(link);
                for (int k = first; k < end; k++) {
                    if (r.hit(triangles, 9 * k, 9 * k + 3, 9 * k + 6, best)) {
                        if (any) {
                            return true;
                        }
                        int number = numbers[k];
                        if (r.t < best || bestTriangle < 0 || number < bestTriangle) {
                            best = r.t;
                            bestTriangle = number;
                            destT[i] = best;
                            destB1[i] = r.b1;
                            destB2[i] = r.b2;
                            destTriangle[i] = number;
                        }
                    }
                }
            }
            do {
                if (depth == 0) {
                    return bestTriangle >= 0;
                }
            } while (enters[--depth] > best);
            link = links[depth];
        }
    }

    /** Finds nearest points; the arrays are those of a point batch. */
    public void nearestPoints(BinaryTree tree, int size, float[] x, float[] y, float[] z, float[] limit, int[] destTriangle, float[] destB1,
            float[] destB2, float[] destDistance) {
        for (int i = 0; i < size; i++) {
            destTriangle[i] = -1;
            if (tree.numbers.length != 0 && limit[i] >= 0f && point.set(x[i], y[i], z[i])) {
                walk(tree, i, limit[i], destTriangle, destB1, destB2, destDistance);
            }
        }
    }

    private void walk(BinaryTree tree, int i, float limit, int[] destTriangle, float[] destB1, float[] destB2, float[] destDistance) {
        float[] nodes = tree.nodes;
        NearestPoint p = point;
        float best = limit;
        double cull = NearestPoint.cull(best);
        int bestTriangle = -1;
        int depth = 0;
        int link = tree.root;
        while (true) {
            if (link >= 0) {
                double squareL = p.toBox(nodes[link], nodes[link + 4], nodes[link + 8], nodes[link + 2], nodes[link + 6], nodes[link + 10]);
                double squareR = p.toBox(nodes[link + 1], nodes[link + 5], nodes[link + 9], nodes[link + 3], nodes[link + 7],
                        nodes[link + 11]);
                boolean nearL = squareL <= squareR;
                double square = nearL ? squareR : squareL;
                if (square <= cull) {
                    stack[depth] = Float.floatToRawIntBits(nodes[link + BinaryTree.LINKS + (nearL ? 1 : 0)]);
                    stackSquare[depth++] = square;
                }
                if ((nearL ? squareL : squareR) <= cull) {
                    link = Float.floatToRawIntBits(nodes[link + BinaryTree.LINKS + (nearL ? 0 : 1)]);
                    continue;
                }
            } else {
                int first = BinaryTree.leafFirst(link);
                int end = first + BinaryTree.leafCount(link);
                for (int k = first; k < end; k++) {
                    p.of(tree.triangles, 9 * k, 9 * k + 3, 9 * k + 6);
                    int number = tree.numbers[k];
                    if (p.distance < best || p.distance == best && (bestTriangle < 0 || number < bestTriangle)) {
                        best = p.distance;
                        cull = NearestPoint.cull(best);
                        bestTriangle = number;
                        destTriangle[i] = number;
                        destB1[i] = p.b1;
                        destB2[i] = p.b2;
                        destDistance[i] = best;
                    }
                }
            }
            do {
                if (depth == 0) {
                    return;
                }
            } while (stackSquare[--depth] > cull);
            link = stack[depth];
        }
    }
}
