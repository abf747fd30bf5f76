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
    private static final float[] NO_FLOATS = {};
    private static final int[] NO_INTS = {};

    private final WatertightRay ray = new WatertightRay();
    private final NearestPoint point = new NearestPoint();
    private final int[] stack = new int[BinaryTree.DEEPEST];
    private final int[] stackEnter = new int[BinaryTree.DEEPEST];
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

    private boolean walk(BinaryTree tree, boolean any, int i, float[] destT, float[] destB1, float[] destB2, int[] destTriangle) {
        float[] nodes = tree.nodes;
        float[] triangles = tree.triangles;
        int[] numbers = tree.numbers;
        WatertightRay r = ray;
        int[] links = stack;
        int[] enters = stackEnter;
        float ix = r.inverseX;
        float iy = r.inverseY;
        float iz = r.inverseZ;
        // Near and far planes move away from the origin by the pad.
        float reach = r.reach(tree.minX, tree.minY, tree.minZ, tree.maxX, tree.maxY, tree.maxZ);
        float padX = Math.copySign(WatertightRay.pad(reach, r.originX), ix);
        float padY = Math.copySign(WatertightRay.pad(reach, r.originY), iy);
        float padZ = Math.copySign(WatertightRay.pad(reach, r.originZ), iz);
        float nearOriginX = r.originX + padX;
        float nearOriginY = r.originY + padY;
        float nearOriginZ = r.originZ + padZ;
        float farOriginX = r.originX - padX;
        float farOriginY = r.originY - padY;
        float farOriginZ = r.originZ - padZ;
        // Where near and far planes stand in a record.
        int nearX = ix < 0f ? 2 : 0;
        int nearY = iy < 0f ? 6 : 4;
        int nearZ = iz < 0f ? 10 : 8;
        int farX = 2 - nearX;
        int farY = 10 - nearY;
        int farZ = 18 - nearZ;
        // Distances are compared as the bits they are made of: for floats ≥ 0 the order is the same, and all below 0 are below. The largest of three and
        // tMin ≥ 0 is right whatever the order of negative ones, and the least of three and tHigh is negative if and only if one of them is. (Integers
        // take a third of the instructions, because they have no NaN and no −0.)
        int tMinBits = bits(r.tMin);
        float best = r.tMax;
        int bestBits = bits(best);
        int bestTriangle = -1;
        int depth = 0;
        int link = tree.root;
        while (true) {
            if (link >= 0) {
                int enterL = Math.max(
                        Math.max(bits((nodes[link + nearX] - nearOriginX) * ix), bits((nodes[link + nearY] - nearOriginY) * iy)),
                        Math.max(bits((nodes[link + nearZ] - nearOriginZ) * iz), tMinBits));
                int leaveL = Math.min(Math.min(bits((nodes[link + farX] - farOriginX) * ix), bits((nodes[link + farY] - farOriginY) * iy)),
                        Math.min(bits((nodes[link + farZ] - farOriginZ) * iz), bestBits));
                int enterR = Math.max(
                        Math.max(bits((nodes[link + nearX + 1] - nearOriginX) * ix), bits((nodes[link + nearY + 1] - nearOriginY) * iy)),
                        Math.max(bits((nodes[link + nearZ + 1] - nearOriginZ) * iz), tMinBits));
                int leaveR = Math.min(
                        Math.min(bits((nodes[link + farX + 1] - farOriginX) * ix), bits((nodes[link + farY + 1] - farOriginY) * iy)),
                        Math.min(bits((nodes[link + farZ + 1] - farOriginZ) * iz), bestBits));
                boolean metL = enterL <= leaveL;
                boolean metR = enterR <= leaveR;
                if (metL && metR) { // the nearer child first
                    int near = enterR < enterL ? 1 : 0;
                    links[depth] = bits(nodes[link + BinaryTree.LINKS + 1 - near]);
                    enters[depth++] = Math.max(enterL, enterR);
                    link = bits(nodes[link + BinaryTree.LINKS + near]);
                    continue;
                }
                if (metL || metR) {
                    link = bits(nodes[link + BinaryTree.LINKS + (metL ? 0 : 1)]);
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
                            bestBits = bits(best);
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
            } while (enters[--depth] > bestBits);
            link = links[depth];
        }
    }

    private static int bits(float f) {
        return Float.floatToRawIntBits(f);
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
                    stack[depth] = bits(nodes[link + BinaryTree.LINKS + (nearL ? 1 : 0)]);
                    stackSquare[depth++] = square;
                }
                if ((nearL ? squareL : squareR) <= cull) {
                    link = bits(nodes[link + BinaryTree.LINKS + (nearL ? 0 : 1)]);
                    continue;
                }
            } else {
                int first = BinaryTree.leafFirst(link);
                int end = first + BinaryTree.leafCount(link);
                for (int k = first; k < end; k++) {
                    p.of(tree.triangles, 9 * k, 9 * k + 3, 9 * k + 6);
                    int number = tree.numbers[k];
                    if (p.distance < best || (p.distance == best && (bestTriangle < 0 || number < bestTriangle))) {
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
