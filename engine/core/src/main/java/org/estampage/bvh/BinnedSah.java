package org.estampage.bvh;

import java.util.Arrays;
import java.util.concurrent.ForkJoinPool;
import java.util.concurrent.RecursiveTask;
import org.estampage.internal.kernel.BinaryTree;
import org.estampage.task.Task;

/**
 * Builds a binary tree from the top by the surface area heuristic over bins of box centres.
 *
 * <p>Large ranges are cut one by one, both sides in parallel; a range of at most {@link #PIECE} triangles is built by one thread. Where a range is cut
 * depends on its triangles alone, and the pieces are put together in depth-first order: the tree is the same for any number of threads.
 *
 * @cost O(n log n) time; 28 bytes a triangle while building, beside the tree
 * @source Wald, On fast Construction of SAH-based Bounding Volume Hierarchies, 2007 (the bins; from memory); the number of bins and how the work is
 *         shared are our own
 */
final class BinnedSah {
    /** The most triangles that one thread builds in one go: enough pieces for many threads, large enough to make the joints few. */
    private static final int PIECE = 1 << 14;
    private static final int MOST_BINS = 16;
    /** From this depth on ranges are halved by number, so that no input gets deeper than 64 + log₂(2²⁸), below {@link BinaryTree#DEEPEST}. */
    private static final int HALVE_DEPTH = 64;
    /** Floats of a box: min xyz, max xyz. */
    private static final int BOX = 6;

    private final LeafRule rule;
    /** A box a reference; references are moved, so that those of a range lie together. */
    private final float[] boxes;
    private final int[] numbers;
    private final Task task;
    private final Task.Stage stage;

    private BinnedSah(float[] boxes, int[] numbers, LeafRule rule, Task task) {
        this.rule = rule;
        this.boxes = boxes;
        this.numbers = numbers;
        this.task = task;
        stage = task.stage("building the ray tree", numbers.length);
    }

    static BoxTree build(float[] positions, int[] corners, int[] triangles, LeafRule rule, Task task, ForkJoinPool pool) {
        int count = triangles.length;
        int[] numbers = triangles.clone();
        float[] bounds = emptyBox();
        if (count == 0) {
            return new BoxTree(new float[0], new int[0], new int[0], numbers, 0);
        }
        task.check();
        float[] boxes = new float[BOX * count];
        float[] centres = emptyBox();
        for (int i = 0; i < count; i++) {
            int at = 3 * numbers[i];
            int a = 3 * corners[at];
            int b = 3 * corners[at + 1];
            int c = 3 * corners[at + 2];
            for (int axis = 0; axis < 3; axis++) {
                float p = positions[a + axis];
                float q = positions[b + axis];
                float r = positions[c + axis];
                boxes[BOX * i + axis] = Math.min(Math.min(p, q), r);
                boxes[BOX * i + 3 + axis] = Math.max(Math.max(p, q), r);
            }
            grow(bounds, 0, boxes, BOX * i);
            growByCentre(centres, boxes, BOX * i);
        }
        BinnedSah builder = new BinnedSah(boxes, numbers, rule, task);
        Subtree tree = pool.invoke(new Range(builder, 0, count, bounds, centres, 0));
        float[] nodes = new float[BinaryTree.FIRST + BinaryTree.RECORD * tree.recordCount()];
        int root = tree.copyTo(nodes, BinaryTree.FIRST);
        int nodeCount = 1 + 2 * tree.recordCount();
        float[] all = new float[BOX * nodeCount];
        int[] links = new int[nodeCount];
        int[] counts = new int[nodeCount];
        System.arraycopy(bounds, 0, all, 0, BOX);
        link(root, 0, links, counts);
        for (int at = BinaryTree.FIRST; at < nodes.length; at += BinaryTree.RECORD) {
            for (int side = 0; side < 2; side++) {
                int node = 1 + 2 * ((at - BinaryTree.FIRST) / BinaryTree.RECORD) + side;
                for (int axis = 0; axis < 3; axis++) {
                    all[BOX * node + axis] = nodes[at + 4 * axis + side];
                    all[BOX * node + 3 + axis] = nodes[at + 4 * axis + 2 + side];
                }
                link(Float.floatToRawIntBits(nodes[at + BinaryTree.LINKS + side]), node, links, counts);
            }
        }
        return new BoxTree(all, links, counts, numbers, 4L * (boxes.length + nodes.length + 8L * nodeCount + count));
    }

    private static void link(int link, int node, int[] links, int[] counts) {
        if (link < 0) {
            links[node] = ~link >>> 5;
            counts[node] = (~link & 31) + 1;
        } else {
            links[node] = 1 + 2 * ((link - BinaryTree.FIRST) / BinaryTree.RECORD);
        }
    }

    private static float[] emptyBox() {
        float[] box = new float[BOX];
        clear(box, 0);
        return box;
    }

    private static void clear(float[] box, int at) {
        box[at] = Float.POSITIVE_INFINITY;
        box[at + 1] = Float.POSITIVE_INFINITY;
        box[at + 2] = Float.POSITIVE_INFINITY;
        box[at + 3] = Float.NEGATIVE_INFINITY;
        box[at + 4] = Float.NEGATIVE_INFINITY;
        box[at + 5] = Float.NEGATIVE_INFINITY;
    }

    private static void grow(float[] box, int at, float[] by, int byAt) {
        box[at] = Math.min(box[at], by[byAt]);
        box[at + 1] = Math.min(box[at + 1], by[byAt + 1]);
        box[at + 2] = Math.min(box[at + 2], by[byAt + 2]);
        box[at + 3] = Math.max(box[at + 3], by[byAt + 3]);
        box[at + 4] = Math.max(box[at + 4], by[byAt + 4]);
        box[at + 5] = Math.max(box[at + 5], by[byAt + 5]);
    }

    private static void growByCentre(float[] box, float[] of, int at) {
        float x = centre(of, at);
        float y = centre(of, at + 1);
        float z = centre(of, at + 2);
        box[0] = Math.min(box[0], x);
        box[1] = Math.min(box[1], y);
        box[2] = Math.min(box[2], z);
        box[3] = Math.max(box[3], x);
        box[4] = Math.max(box[4], y);
        box[5] = Math.max(box[5], z);
    }

    /** Halves first: the sum of two floats can overflow. */
    private static float centre(float[] boxes, int at) {
        return boxes[at] * 0.5f + boxes[at + 3] * 0.5f;
    }

    private static float halfArea(float[] box, int at) {
        float x = box[at + 3] - box[at];
        float y = box[at + 4] - box[at + 1];
        float z = box[at + 5] - box[at + 2];
        return x * y + y * z + z * x;
    }

    private static void putRecord(float[] nodes, int at, float[] left, float[] right, int leftLink, int rightLink) {
        for (int axis = 0; axis < 3; axis++) {
            nodes[at + 4 * axis] = left[axis];
            nodes[at + 4 * axis + 1] = right[axis];
            nodes[at + 4 * axis + 2] = left[3 + axis];
            nodes[at + 4 * axis + 3] = right[3 + axis];
        }
        nodes[at + BinaryTree.LINKS] = Float.intBitsToFloat(leftLink);
        nodes[at + BinaryTree.LINKS + 1] = Float.intBitsToFloat(rightLink);
    }

    /** A finished part of the tree. */
    private sealed interface Subtree {
        int recordCount();

        /** Copies the records to {@code at} and after; returns the link to this part. */
        int copyTo(float[] nodes, int at);
    }

    /** Two parts under a record. */
    private record Joint(Subtree left, Subtree right, Range leftRange, Range rightRange, int recordCount) implements Subtree {
        @Override
        public int copyTo(float[] nodes, int at) {
            int next = at + BinaryTree.RECORD;
            int leftLink = left.copyTo(nodes, next);
            int rightLink = right.copyTo(nodes, next + BinaryTree.RECORD * left.recordCount());
            putRecord(nodes, at, leftRange.bounds, rightRange.bounds, leftLink, rightLink);
            return at;
        }
    }

    /** A range that is still to be built; it cuts itself until it is small enough for one thread. */
    private static final class Range extends RecursiveTask<Subtree> {
        private static final long serialVersionUID = 1L;
        private final transient BinnedSah builder;
        private final int begin;
        private final int end;
        private final transient float[] bounds;
        private final transient float[] centres;
        private final int depth;

        Range(BinnedSah builder, int begin, int end, float[] bounds, float[] centres, int depth) {
            this.builder = builder;
            this.begin = begin;
            this.end = end;
            this.bounds = bounds;
            this.centres = centres;
            this.depth = depth;
        }

        @Override
        protected Subtree compute() {
            builder.task.check();
            if (end - begin <= PIECE) {
                Piece piece = new Piece(builder, begin, end, bounds, centres, depth);
                builder.stage.advance(end - begin);
                return piece;
            }
            Splitter s = new Splitter(builder.boxes, builder.numbers, builder.rule);
            int middle = s.split(begin, end, bounds, centres, depth);
            Range left = new Range(builder, begin, middle, s.leftBounds, s.leftCentres, depth + 1);
            Range right = new Range(builder, middle, end, s.rightBounds, s.rightCentres, depth + 1);
            right.fork();
            Subtree leftTree = left.compute();
            Subtree rightTree = right.join();
            return new Joint(leftTree, rightTree, left, right, 1 + leftTree.recordCount() + rightTree.recordCount());
        }
    }

    /** A range built by one thread: records in depth-first order, links between them count from the first. */
    private static final class Piece implements Subtree {
        private final Splitter splitter;
        private float[] nodes;
        private int length;
        private final int root;

        Piece(BinnedSah builder, int begin, int end, float[] bounds, float[] centres, int depth) {
            splitter = new Splitter(builder.boxes, builder.numbers, builder.rule);
            nodes = new float[BinaryTree.RECORD * (end - begin)];
            root = build(begin, end, bounds, centres, depth);
            nodes = Arrays.copyOf(nodes, length);
        }

        /** Builds a range; returns its link. */
        private int build(int begin, int end, float[] bounds, float[] centres, int depth) {
            int middle = splitter.split(begin, end, bounds, centres, depth);
            if (middle < 0) {
                return ~(begin << 5 | end - begin - 1);
            }
            float[] leftBounds = splitter.leftBounds.clone();
            float[] rightBounds = splitter.rightBounds.clone();
            float[] rightCentres = splitter.rightCentres.clone();
            int at = length;
            length += BinaryTree.RECORD;
            int leftLink = build(begin, middle, leftBounds, splitter.leftCentres.clone(), depth + 1);
            int rightLink = build(middle, end, rightBounds, rightCentres, depth + 1);
            putRecord(nodes, at, leftBounds, rightBounds, leftLink, rightLink);
            return at;
        }

        @Override
        public int recordCount() {
            return length / BinaryTree.RECORD;
        }

        @Override
        public int copyTo(float[] dest, int at) {
            System.arraycopy(nodes, 0, dest, at, length);
            for (int record = at; record < at + length; record += BinaryTree.RECORD) {
                for (int k = record + BinaryTree.LINKS; k < record + BinaryTree.LINKS + 2; k++) {
                    dest[k] = Float.intBitsToFloat(moved(Float.floatToRawIntBits(dest[k]), at));
                }
            }
            return moved(root, at);
        }

        private static int moved(int link, int by) {
            return link < 0 ? link : link + by;
        }
    }

    /** Cuts ranges of references in two; the boxes of both sides are left in its fields. */
    private static final class Splitter {
        private final LeafRule rule;
        private final float[] boxes;
        private final int[] numbers;
        private final float[] binBounds = new float[3 * MOST_BINS * BOX];
        private final int[] binCounts = new int[3 * MOST_BINS];
        private final float[] rightAreas = new float[MOST_BINS];
        private final float[] low = new float[3];
        private final float[] scale = new float[3];
        private final float[] sweep = new float[BOX];
        private final float[] leftBounds = new float[BOX];
        private final float[] rightBounds = new float[BOX];
        private final float[] leftCentres = new float[BOX];
        private final float[] rightCentres = new float[BOX];
        private int bestAxis;
        private int bestBin;
        private float bestCost;

        Splitter(float[] boxes, int[] numbers, LeafRule rule) {
            this.rule = rule;
            this.boxes = boxes;
            this.numbers = numbers;
        }

        /**
         * Moves the references of a range to the two sides of the best cut.
         *
         * @param bounds  the range's box
         * @param centres the box around the middles of its boxes
         * @return where the right side begins, or −1 to make a leaf
         */
        int split(int begin, int end, float[] bounds, float[] centres, int depth) {
            int count = end - begin;
            if (count == 1 || rule.block() > 1 && count <= rule.block()) {
                return -1;
            }
            bestAxis = -1;
            bestCost = Float.POSITIVE_INFINITY;
            int bins = Math.min(MOST_BINS, 4 + count / 4);
            if (depth < HALVE_DEPTH) {
                chooseCut(begin, end, centres, bins);
            }
            float area = halfArea(bounds, 0);
            if (count <= rule.most() && !(rule.innerCost() * area + bestCost < (double) area * rule.leafCost(count))) {
                return -1;
            }
            clear(leftBounds, 0);
            clear(rightBounds, 0);
            clear(leftCentres, 0);
            clear(rightCentres, 0);
            return bestAxis < 0 ? halve(begin, end) : partition(begin, end, bins);
        }

        private void chooseCut(int begin, int end, float[] centres, int bins) {
            for (int axis = 0; axis < 3; axis++) {
                low[axis] = centres[axis];
                float extent = centres[3 + axis] - centres[axis];
                // No extent, or one so small or large that the scale overflows: all fall into the first bin, and no cut is found on this axis.
                float s = bins / extent;
                scale[axis] = extent > 0 && s < Float.POSITIVE_INFINITY ? s : 0f;
                for (int bin = axis * MOST_BINS; bin < axis * MOST_BINS + bins; bin++) {
                    binCounts[bin] = 0;
                    clear(binBounds, BOX * bin);
                }
            }
            for (int at = BOX * begin; at < BOX * end; at += BOX) {
                for (int axis = 0; axis < 3; axis++) {
                    int bin = axis * MOST_BINS + binOf(at, axis, bins);
                    binCounts[bin]++;
                    grow(binBounds, BOX * bin, boxes, at);
                }
            }
            int count = end - begin;
            for (int axis = 0; axis < 3; axis++) {
                if (scale[axis] == 0f) {
                    continue;
                }
                int first = axis * MOST_BINS;
                clear(sweep, 0);
                for (int bin = bins - 1; bin > 0; bin--) {
                    grow(sweep, 0, binBounds, BOX * (first + bin));
                    rightAreas[bin] = halfArea(sweep, 0);
                }
                clear(sweep, 0);
                int left = 0;
                for (int bin = 1; bin < bins; bin++) {
                    grow(sweep, 0, binBounds, BOX * (first + bin - 1));
                    left += binCounts[first + bin - 1];
                    if (left == 0 || left == count) {
                        continue;
                    }
                    float cost = halfArea(sweep, 0) * rule.leafCost(left) + rightAreas[bin] * rule.leafCost(count - left);
                    if (cost < bestCost) {
                        bestCost = cost;
                        bestAxis = axis;
                        bestBin = bin;
                    }
                }
            }
        }

        private int binOf(int at, int axis, int bins) {
            return Math.max(0, Math.min(bins - 1, (int) ((centre(boxes, at + axis) - low[axis]) * scale[axis])));
        }

        private int halve(int begin, int end) {
            int middle = (begin + end) >>> 1;
            for (int i = begin; i < middle; i++) {
                grow(leftBounds, 0, boxes, BOX * i);
                growByCentre(leftCentres, boxes, BOX * i);
            }
            for (int i = middle; i < end; i++) {
                grow(rightBounds, 0, boxes, BOX * i);
                growByCentre(rightCentres, boxes, BOX * i);
            }
            return middle;
        }

        private int partition(int begin, int end, int bins) {
            int i = begin;
            int j = end;
            while (i < j) {
                if (binOf(BOX * i, bestAxis, bins) < bestBin) {
                    grow(leftBounds, 0, boxes, BOX * i);
                    growByCentre(leftCentres, boxes, BOX * i);
                    i++;
                } else {
                    grow(rightBounds, 0, boxes, BOX * i);
                    growByCentre(rightCentres, boxes, BOX * i);
                    swap(i, --j);
                }
            }
            return i;
        }

        private void swap(int i, int j) {
            int n = numbers[i];
            numbers[i] = numbers[j];
            numbers[j] = n;
            for (int k = 0; k < BOX; k++) {
                float f = boxes[BOX * i + k];
                boxes[BOX * i + k] = boxes[BOX * j + k];
                boxes[BOX * j + k] = f;
            }
        }
    }
}
