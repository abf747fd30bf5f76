package org.estampage.internal.kernel;

/**
 * Walks a {@link WideTree} one ray or point at a time without vectors: for the few rays whose numbers are too large or too small for fused box tests, and the
 * specification of the walks with vectors.
 *
 * @threads confined; allocates nothing after construction
 */
public final class WideScalar {
    private final int[] stack = new int[WideStream.STACK];
    private final float[] stackEnter = new float[WideStream.STACK];
    private final double[] stackSquare = new double[WideStream.STACK];
    private final float[] corners = new float[9];
    private final NearestPoint point = new NearestPoint();

    /** Makes the stack. */
    public WideScalar() {
    }

    /** Returns the number of the first triangle that a set ray hits, or −1; a hit goes to the destinations at {@code at}. */
    int closest(WideTree tree, WatertightRay ray, int at, float[] destT, float[] destB1, float[] destB2) {
        return walk(tree, ray, false, at, destT, destB1, destB2);
    }

    /** Returns whether a set ray hits anything. */
    boolean any(WideTree tree, WatertightRay ray) {
        return walk(tree, ray, true, 0, corners, corners, corners) >= 0;
    }

    private int walk(WideTree tree, WatertightRay r, boolean any, int at, float[] destT, float[] destB1, float[] destB2) {
        int lanes = tree.lanes;
        float[] nodes = tree.nodes;
        float reach = r.reach(tree.minX, tree.minY, tree.minZ, tree.maxX, tree.maxY, tree.maxZ);
        float padX = Math.copySign(WatertightRay.pad(reach, r.originX), r.inverseX);
        float padY = Math.copySign(WatertightRay.pad(reach, r.originY), r.inverseY);
        float padZ = Math.copySign(WatertightRay.pad(reach, r.originZ), r.inverseZ);
        int nearX = r.inverseX < 0f ? lanes : 0;
        int nearY = 2 * lanes + (r.inverseY < 0f ? lanes : 0);
        int nearZ = 4 * lanes + (r.inverseZ < 0f ? lanes : 0);
        float best = r.tMax;
        int bestTriangle = -1;
        int depth = 1;
        stack[0] = WideTree.FIRST;
        stackEnter[0] = 0f;
        while (depth > 0) {
            int link = stack[--depth];
            if (stackEnter[depth] > best) {
                continue;
            }
            if (link >= 0) {
                int base = depth;
                for (int k = link; k < link + lanes; k++) {
                    float enter = Math.max(Math.max((nodes[k + nearX] - (r.originX + padX)) * r.inverseX,
                            (nodes[k + nearY] - (r.originY + padY)) * r.inverseY),
                            Math.max((nodes[k + nearZ] - (r.originZ + padZ)) * r.inverseZ, r.tMin));
                    float leave = Math.min(Math.min((nodes[k + lanes - nearX] - (r.originX - padX)) * r.inverseX,
                            (nodes[k + 5 * lanes - nearY] - (r.originY - padY)) * r.inverseY),
                            Math.min((nodes[k + 9 * lanes - nearZ] - (r.originZ - padZ)) * r.inverseZ, best));
                    if (enter <= leave) { // the nearest child on top
                        int place = depth++;
                        while (place > base && stackEnter[place - 1] < enter) {
                            stackEnter[place] = stackEnter[place - 1];
                            stack[place] = stack[place - 1];
                            place--;
                        }
                        stackEnter[place] = enter;
                        stack[place] = Float.floatToRawIntBits(nodes[k + 6 * lanes]);
                    }
                }
                continue;
            }
            int end = WideTree.leafFirst(link) + WideTree.leafCount(link);
            for (int block = WideTree.leafFirst(link); block < end; block++) {
                for (int lane = tree.triangles(block) - 1; lane >= 0; lane--) {
                    if (tree.corners(block, lane, corners) && r.hit(corners, 0, 3, 6, best)) {
                        int number = tree.numbers[block * lanes + lane];
                        if (any) {
                            return number;
                        }
                        if (r.t < best || bestTriangle < 0 || number < bestTriangle) {
                            best = r.t;
                            bestTriangle = number;
                            destT[at] = best;
                            destB1[at] = r.b1;
                            destB2[at] = r.b2;
                        }
                    }
                }
            }
        }
        return bestTriangle;
    }

    /** Finds the nearest point of one entry of a point batch. */
    void nearestPoint(WideTree tree, int i, float x, float y, float z, float limit, int[] destTriangle, float[] destB1, float[] destB2,
            float[] destDistance) {
        destTriangle[i] = -1;
        if (tree.triangleCount != 0 && limit >= 0f && point.set(x, y, z)) {
            nearest(tree, i, limit, destTriangle, destB1, destB2, destDistance);
        }
    }

    private void nearest(WideTree tree, int i, float limit, int[] destTriangle, float[] destB1, float[] destB2, float[] destDistance) {
        int lanes = tree.lanes;
        float[] nodes = tree.nodes;
        NearestPoint p = point;
        float best = limit;
        double cull = NearestPoint.cull(best);
        int bestTriangle = -1;
        int depth = 1;
        stack[0] = WideTree.FIRST;
        stackSquare[0] = 0;
        while (depth > 0) {
            int link = stack[--depth];
            if (stackSquare[depth] > cull) {
                continue;
            }
            if (link >= 0) {
                int base = depth;
                for (int k = link; k < link + lanes; k++) {
                    double square = p.toBox(nodes[k], nodes[k + 2 * lanes], nodes[k + 4 * lanes], nodes[k + lanes], nodes[k + 3 * lanes],
                            nodes[k + 5 * lanes]);
                    int child = Float.floatToRawIntBits(nodes[k + 6 * lanes]);
                    // An empty slot is infinitely far, which an infinite limit does not pass by.
                    if (square <= cull && child != WideTree.NOTHING) { // the nearest child on top
                        int at = depth++;
                        while (at > base && stackSquare[at - 1] < square) {
                            stackSquare[at] = stackSquare[at - 1];
                            stack[at] = stack[at - 1];
                            at--;
                        }
                        stackSquare[at] = square;
                        stack[at] = child;
                    }
                }
                continue;
            }
            int end = WideTree.leafFirst(link) + WideTree.leafCount(link);
            for (int block = WideTree.leafFirst(link); block < end; block++) {
                for (int lane = tree.triangles(block) - 1; lane >= 0; lane--) {
                    if (!tree.corners(block, lane, corners) || Float.isNaN(corners[0] + corners[3] + corners[6])) {
                        continue;
                    }
                    p.of(corners, 0, 3, 6);
                    int number = tree.numbers[block * lanes + lane];
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
        }
    }
}
