package org.estampage.bvh;

import java.util.concurrent.RecursiveTask;
import org.estampage.internal.kernel.BinaryTree;
import org.estampage.internal.kernel.Triangles;
import org.estampage.task.Task;

/**
 * Builds a binary tree from the top by the surface area heuristic over 16 bins an axis.
 *
 * <p>Subtrees are built side by side, but where a range is cut depends on its triangles alone, and they are put together in depth-first order: the
 * tree is the same for any number of threads.
 *
 * @source Wald, On fast Construction of SAH-based Bounding Volume Hierarchies, 2007 (from memory)
 */
final class BinnedSah {
    private static final int BINS = 16;
    /** Cost of testing two child boxes, in triangle tests. */
    static final double INNER_COST = 1.2;
    /** Ranges of at most so many triangles are built by one thread, in one piece. */
    private static final int PIECE = 8192;
    /** From this depth on ranges are halved, so that no input makes the tree deeper than {@link BinaryTree#DEEPEST}. */
    private static final int HALVE_DEPTH = 60;

    private final float[] positions;
    private final int[] indices;
    /** min xyz, max xyz of each reference; cut ranges are kept together by moving references. */
    private final float[] boxes;
    private final int[] numbers;
    private final Task task;
    private final Task.Stage stage;

    private BinnedSah(float[] positions, int[] indices, float[] boxes, int[] numbers, Task task) {
        this.positions = positions;
        this.indices = indices;
        this.boxes = boxes;
        this.numbers = numbers;
        this.task = task;
        this.stage = task.stage("building the ray structure", numbers.length);
    }

    /** Builds over the given triangles; those without area or with coordinates that are not finite are left out. */
    static BinaryTree build(float[] positions, int[] indices, int[] triangles, Task task) {
        int count = 0;
        for (int t : triangles) {
            if (Triangles.takesPart(positions, 3 * indices[3 * t], 3 * indices[3 * t + 1], 3 * indices[3 * t + 2])) {
                count++;
            }
        }
        float[] boxes = new float[Math.multiplyExact(6, count)];
        int[] numbers = new int[count];
        int n = 0;
        for (int t : triangles) {
            int a = 3 * indices[3 * t], b = 3 * indices[3 * t + 1], c = 3 * indices[3 * t + 2];
            if (!Triangles.takesPart(positions, a, b, c)) {
                continue;
            }
            for (int k = 0; k < 3; k++) {
                boxes[6 * n + k] = Math.min(positions[a + k], Math.min(positions[b + k], positions[c + k]));
                boxes[6 * n + 3 + k] = Math.max(positions[a + k], Math.max(positions[b + k], positions[c + k]));
            }
            numbers[n++] = t;
        }
        if (count == 0) {
            return new BinaryTree(new float[0], new float[0], numbers, 0, new float[6]);
        }
        return new BinnedSah(positions, indices, boxes, numbers, task).build();
    }

    private BinaryTree build() {
        Range root = new Range(0, numbers.length, 0);
        root.invoke();
        float[] nodes = new float[BinaryTree.FIRST + root.recordCount() * BinaryTree.RECORD];
        int link = root.write(nodes, new int[] {BinaryTree.FIRST});
        float[] vertices = new float[9 * numbers.length];
        for (int i = 0; i < numbers.length; i++) {
            for (int k = 0; k < 3; k++) {
                System.arraycopy(positions, 3 * indices[3 * numbers[i] + k], vertices, 9 * i + 3 * k, 3);
            }
        }
        return new BinaryTree(nodes, vertices, numbers, link, root.box);
    }

    /** A range of references and what was made of it: two halves, or a piece of finished records. */
    private final class Range extends RecursiveTask<Void> {
        private static final long serialVersionUID = 1;

        private final int from;
        private final int to;
        private final int depth;
        private final float[] box = new float[6];
        // One of the two:
        private transient Range[] halves = new Range[0];
        private transient Piece piece = new Piece(0);

        Range(int from, int to, int depth) {
            this.from = from;
            this.to = to;
            this.depth = depth;
        }

        @Override
        protected Void compute() {
            task.check();
            Splitter splitter = new Splitter();
            boundsOf(from, to, box);
            if (to - from <= PIECE) {
                piece = new Piece(to - from);
                piece.root = piece.add(from, to, depth, splitter, box);
                stage.advance(to - from);
                return null;
            }
            int middle = splitter.split(from, to, depth, box);
            halves = new Range[] {new Range(from, middle, depth + 1), new Range(middle, to, depth + 1)};
            invokeAll(halves[0], halves[1]);
            return null;
        }

        int recordCount() {
            return halves.length == 0 ? piece.count : 1 + halves[0].recordCount() + halves[1].recordCount();
        }

        /** Writes the records in depth-first order and returns the link to this range. */
        int write(float[] nodes, int[] inoutNext) {
            if (halves.length == 0) {
                return piece.write(nodes, inoutNext);
            }
            int record = inoutNext[0];
            inoutNext[0] += BinaryTree.RECORD;
            for (int side = 0; side < 2; side++) {
                putChild(nodes, record, side, halves[side].box, halves[side].write(nodes, inoutNext));
            }
            return record;
        }
    }

    /** Records of one small subtree in depth-first order; links between them count from the piece's first record. */
    private final class Piece {
        private final float[] records;
        private int count;
        private int root;

        Piece(int triangles) {
            records = new float[BinaryTree.RECORD * Math.max(0, triangles - 1)];
        }

        int add(int from, int to, int depth, Splitter splitter, float[] box) {
            int middle = splitter.split(from, to, depth, box);
            if (middle < 0) {
                return BinaryTree.leaf(from, to - from);
            }
            int record = BinaryTree.RECORD * count++;
            float[] childBox = new float[6];
            boundsOf(from, middle, childBox);
            float[] otherBox = new float[6];
            boundsOf(middle, to, otherBox);
            putChild(records, record, 0, childBox, add(from, middle, depth + 1, splitter, childBox));
            putChild(records, record, 1, otherBox, add(middle, to, depth + 1, splitter, otherBox));
            return record;
        }

        int write(float[] nodes, int[] inoutNext) {
            int base = inoutNext[0];
            System.arraycopy(records, 0, nodes, base, count * BinaryTree.RECORD);
            inoutNext[0] += count * BinaryTree.RECORD;
            for (int r = 0; r < count; r++) {
                for (int side = 0; side < 2; side++) {
                    int at = base + r * BinaryTree.RECORD + BinaryTree.LINKS + side;
                    int link = Float.floatToRawIntBits(nodes[at]);
                    if (link >= 0) {
                        nodes[at] = Float.intBitsToFloat(link + base);
                    }
                }
            }
            return root < 0 ? root : root + base;
        }
    }

    private static void putChild(float[] nodes, int record, int side, float[] box, int link) {
        for (int k = 0; k < 3; k++) {
            nodes[record + 4 * k + side] = box[k];
            nodes[record + 4 * k + 2 + side] = box[3 + k];
        }
        nodes[record + BinaryTree.LINKS + side] = Float.intBitsToFloat(link);
    }

    private void boundsOf(int from, int to, float[] dest) {
        float x0 = Float.POSITIVE_INFINITY, y0 = x0, z0 = x0, x1 = -x0, y1 = -x0, z1 = -x0;
        for (int i = 6 * from; i < 6 * to; i += 6) {
            x0 = Math.min(x0, boxes[i]);
            y0 = Math.min(y0, boxes[i + 1]);
            z0 = Math.min(z0, boxes[i + 2]);
            x1 = Math.max(x1, boxes[i + 3]);
            y1 = Math.max(y1, boxes[i + 4]);
            z1 = Math.max(z1, boxes[i + 5]);
        }
        dest[0] = x0;
        dest[1] = y0;
        dest[2] = z0;
        dest[3] = x1;
        dest[4] = y1;
        dest[5] = z1;
    }

    private static double halfArea(double x, double y, double z) {
        return x * y + y * z + z * x;
    }

    /** Finds where to cut a range and sorts its references to both sides. */
    private final class Splitter {
        private final float[] binBoxes = new float[3 * BINS * 6];
        private final int[] binCounts = new int[3 * BINS];
        private final float[] low = new float[3];
        private final float[] scale = new float[3];
        private final double[] rightArea = new double[BINS];
        private final float[] sweep = new float[6];

        /**
         * Cuts a range.
         *
         * @return the first reference of the right side, or −1 to make a leaf
         */
        int split(int from, int to, int depth, float[] box) {
            int count = to - from;
            if (count == 1) {
                return -1;
            }
            if (depth >= HALVE_DEPTH) {
                return count <= BinaryTree.MOST_IN_LEAF ? -1 : (from + to) >>> 1;
            }
            if (!bin(from, to)) { // all middles coincide: any cut is as good
                return count <= BinaryTree.MOST_IN_LEAF ? -1 : (from + to) >>> 1;
            }
            int axis = -1;
            int cut = -1;
            double best = Double.POSITIVE_INFINITY;
            for (int a = 0; a < 3; a++) {
                if (scale[a] == 0) {
                    continue;
                }
                clear();
                int right = 0;
                for (int b = BINS - 1; b > 0; b--) {
                    grow(a, b);
                    rightArea[b] = sweepArea();
                }
                clear();
                int left = 0;
                for (int b = 0; b < BINS - 1; b++) {
                    grow(a, b);
                    left += binCounts[a * BINS + b];
                    right = count - left;
                    double cost = left == 0 || right == 0 ? Double.POSITIVE_INFINITY : sweepArea() * left + rightArea[b + 1] * right;
                    if (cost < best) {
                        best = cost;
                        axis = a;
                        cut = b;
                    }
                }
            }
            double area = halfArea((double) box[3] - box[0], (double) box[4] - box[1], (double) box[5] - box[2]);
            if (count <= BinaryTree.MOST_IN_LEAF && !(INNER_COST * area + best < count * area)) {
                return -1;
            }
            if (axis < 0) {
                return (from + to) >>> 1;
            }
            return partition(from, to, axis, cut);
        }

        private boolean bin(int from, int to) {
            float x0 = Float.POSITIVE_INFINITY, y0 = x0, z0 = x0, x1 = -x0, y1 = -x0, z1 = -x0;
            for (int i = 6 * from; i < 6 * to; i += 6) {
                float x = middle(i), y = middle(i + 1), z = middle(i + 2);
                x0 = Math.min(x0, x);
                y0 = Math.min(y0, y);
                z0 = Math.min(z0, z);
                x1 = Math.max(x1, x);
                y1 = Math.max(y1, y);
                z1 = Math.max(z1, z);
            }
            setAxis(0, x0, x1);
            setAxis(1, y0, y1);
            setAxis(2, z0, z1);
            if (scale[0] == 0 && scale[1] == 0 && scale[2] == 0) {
                return false;
            }
            java.util.Arrays.fill(binCounts, 0);
            for (int i = 0; i < binBoxes.length; i++) {
                binBoxes[i] = i % 6 < 3 ? Float.POSITIVE_INFINITY : Float.NEGATIVE_INFINITY;
            }
            for (int i = 6 * from; i < 6 * to; i += 6) {
                float bx0 = boxes[i], by0 = boxes[i + 1], bz0 = boxes[i + 2], bx1 = boxes[i + 3], by1 = boxes[i + 4], bz1 = boxes[i + 5];
                for (int a = 0; a < 3; a++) {
                    int b = a * BINS + binOf(i, a);
                    binCounts[b]++;
                    int at = 6 * b;
                    binBoxes[at] = Math.min(binBoxes[at], bx0);
                    binBoxes[at + 1] = Math.min(binBoxes[at + 1], by0);
                    binBoxes[at + 2] = Math.min(binBoxes[at + 2], bz0);
                    binBoxes[at + 3] = Math.max(binBoxes[at + 3], bx1);
                    binBoxes[at + 4] = Math.max(binBoxes[at + 4], by1);
                    binBoxes[at + 5] = Math.max(binBoxes[at + 5], bz1);
                }
            }
            return true;
        }

        /** Half of it and half of it, so that the sum can't overflow. */
        private float middle(int at) {
            return 0.5f * boxes[at] + 0.5f * boxes[at + 3];
        }

        private void setAxis(int axis, float least, float most) {
            low[axis] = least;
            float extent = most - least;
            scale[axis] = extent > 0 && extent < Float.POSITIVE_INFINITY ? BINS / extent : 0;
            if (scale[axis] == Float.POSITIVE_INFINITY) {
                scale[axis] = 0;
            }
        }

        private int binOf(int at, int axis) {
            int b = (int) ((middle(at + axis) - low[axis]) * scale[axis]);
            return Math.max(0, Math.min(BINS - 1, b));
        }

        private void clear() {
            sweep[0] = sweep[1] = sweep[2] = Float.POSITIVE_INFINITY;
            sweep[3] = sweep[4] = sweep[5] = Float.NEGATIVE_INFINITY;
        }

        private void grow(int axis, int b) {
            int at = 6 * (axis * BINS + b);
            for (int k = 0; k < 3; k++) {
                sweep[k] = Math.min(sweep[k], binBoxes[at + k]);
                sweep[3 + k] = Math.max(sweep[3 + k], binBoxes[at + 3 + k]);
            }
        }

        private double sweepArea() {
            return sweep[0] > sweep[3]
                    ? 0
                    : halfArea((double) sweep[3] - sweep[0], (double) sweep[4] - sweep[1], (double) sweep[5] - sweep[2]);
        }

        private int partition(int from, int to, int axis, int cut) {
            int i = from, j = to - 1;
            while (true) {
                while (i <= j && binOf(6 * i, axis) <= cut) {
                    i++;
                }
                while (i <= j && binOf(6 * j, axis) > cut) {
                    j--;
                }
                if (i >= j) {
                    return i;
                }
                for (int k = 0; k < 6; k++) {
                    float f = boxes[6 * i + k];
                    boxes[6 * i + k] = boxes[6 * j + k];
                    boxes[6 * j + k] = f;
                }
                int n = numbers[i];
                numbers[i] = numbers[j];
                numbers[j] = n;
            }
        }
    }
}
