package org.estampage.bvh;

import java.util.Arrays;
import java.util.Queue;
import java.util.concurrent.ConcurrentLinkedQueue;
import java.util.concurrent.RecursiveTask;
import java.util.concurrent.atomic.AtomicInteger;
import org.estampage.internal.kernel.BoxLoops;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;

/**
 * One run of {@link BinnedSahBuilder}.
 *
 * <p>Ranges are cut one by one, both sides in parallel; a range of at most {@link Pools#LITTLE} triangles is built by one thread. Ranges above
 * {@link #LARGE} are also binned and parted in parallel, in chunks of fixed size. Where a range is cut depends on its triangles alone: the tree is the
 * same for any number of threads.
 */
final class BinnedSah {
    /** Ranges of more are worked on by several threads at once. */
    private static final int LARGE = 1 << 17;
    private static final int BINS = BoxLoops.MOST_BINS;
    /** From this depth on ranges are halved by number, so that no input gets deeper than 64 + log₂(2²⁸), below {@link BoxTree#DEEPEST}. */
    private static final int HALVE_DEPTH = 64;

    private final BoxLoops loops;
    private final LeafRule rule;
    /** By how many bits a count is shifted instead of divided by the rule's block, or −1. */
    private final int blockShift;
    private final References references;
    private final float[] refs;
    private final float scale;
    private final Task task;
    private final Task.Stage stage;
    private final int largestPiece;
    private final Queue<Cutter> idle = new ConcurrentLinkedQueue<>();
    private final AtomicInteger cutters = new AtomicInteger();

    private BinnedSah(References references, LeafRule rule, BoxLoops loops, Task task, int count) {
        this.loops = loops;
        this.rule = rule;
        this.references = references;
        this.task = task;
        blockShift = Integer.bitCount(rule.block()) == 1 ? Integer.numberOfTrailingZeros(rule.block()) : -1;
        refs = references.refs;
        scale = references.scale;
        stage = task.stage("building the ray tree", count);
        largestPiece = Math.min(count, Pools.LITTLE);
    }

    static BoxTree build(Mesh mesh, int[] triangles, LeafRule rule, BoxLoops loops, Task task) {
        int count = triangles.length;
        task.check();
        if (count == 0) {
            return new BoxTree(new float[0], new int[0], new int[0], new int[0], 0);
        }
        Built built = buildParts(mesh, triangles, rule, loops, task); // the references are garbage by now
        return TreePart.join(built.root, built.numbers, built.peakBytes, 0);
    }

    /** What is left once the references are not needed any more. */
    private static final class Built {
        final TreePart root;
        final int[] numbers;
        final long peakBytes;

        Built(TreePart root, int[] numbers, long peakBytes) {
            this.root = root;
            this.numbers = numbers;
            this.peakBytes = peakBytes;
        }
    }

    private static Built buildParts(Mesh mesh, int[] triangles, LeafRule rule, BoxLoops loops, Task task) {
        int count = triangles.length;
        BinnedSah build = new BinnedSah(new References(mesh, triangles), rule, loops, task, count);
        TreePart root = Pools.run(new Range(build, 0, count, new float[BoxLoops.MEASURES], 0), count);
        long kept = build.references.bytes() + TreePart.nodeBytes(root.nodeCount())
                + build.cutters.get() * NodeBuffer.bytes(build.largestPiece);
        return new Built(root, build.references.numbers(), kept + 4L * count);
    }

    /** A range that is still to be built; it cuts itself until it is small enough for one thread. */
    private static final class Range extends RecursiveTask<TreePart> {
        private static final long serialVersionUID = 1L;
        private final transient BinnedSah build;
        private final int begin;
        private final int end;
        private final transient float[] measures;
        private final int depth;

        Range(BinnedSah build, int begin, int end, float[] measures, int depth) {
            this.build = build;
            this.begin = begin;
            this.end = end;
            this.measures = measures;
            this.depth = depth;
        }

        @Override
        protected TreePart compute() {
            build.task.check();
            if (depth == 0) {
                build.measure(begin, end, measures);
            }
            Cutter cutter = build.cutter();
            if (end - begin <= Pools.LITTLE) {
                TreePart piece = cutter.piece(begin, end, measures, depth);
                build.idle.add(cutter);
                build.stage.advance(end - begin);
                return piece;
            }
            int middle = cutter.cut(begin, end, measures, 0, depth);
            build.idle.add(cutter);
            Range left = new Range(build, begin, middle, new float[BoxLoops.MEASURES], depth + 1);
            Range right = new Range(build, middle, end, new float[BoxLoops.MEASURES], depth + 1);
            build.measure(begin, middle, left.measures);
            build.measure(middle, end, right.measures);
            right.fork();
            TreePart leftPart = left.compute();
            TreePart rightPart = right.join();
            float[] box = new float[BoxTree.BOX];
            for (int axis = 0; axis < 3; axis++) {
                box[axis] = 0f - measures[axis];
                box[3 + axis] = measures[BoxLoops.HIGH + axis];
            }
            return new TreePart(leftPart, rightPart, box);
        }
    }

    private Cutter cutter() {
        Cutter c = idle.poll();
        if (c == null) {
            cutters.incrementAndGet();
            return new Cutter(this);
        }
        return c;
    }

    private void measure(int begin, int end, float[] dest) {
        if (end - begin <= LARGE) {
            loops.measure(refs, begin, end, scale, dest, 0);
            return;
        }
        float[] chunks = new float[BoxLoops.MEASURES * Pools.chunks(begin, end)];
        Pools.each(begin, end, (chunk, from, to) -> loops.measure(refs, from, to, scale, chunks, BoxLoops.MEASURES * chunk));
        Arrays.fill(dest, Float.NEGATIVE_INFINITY);
        for (int at = 0; at < chunks.length; at += BoxLoops.MEASURES) {
            References.grow(dest, chunks, at, BoxLoops.MEASURES);
        }
    }

    /** Moves the references below a cut to the front: each chunk by itself, then what lies on the wrong side of the middle is exchanged. */
    private int partLarge(int begin, int end, int axis, float low, float factor, int bin) {
        int chunks = Pools.chunks(begin, end);
        int[] middles = new int[chunks];
        Pools.each(begin, end, (chunk, from, to) -> middles[chunk] = loops.part(refs, from, to, axis, scale, low, factor, bin));
        int middle = begin;
        for (int i = 0; i < chunks; i++) {
            middle += middles[i] - (begin + i * Pools.CHUNK);
        }
        // The runs above the cut and before the middle, and those below the cut and behind it, hold equally many.
        int[] swaps = new int[6 * chunks];
        int count = 0;
        int above = -1;
        int aboveEnd = 0;
        int aboveAt = 0;
        for (int i = 0; i < chunks; i++) {
            int from = Math.max(begin + i * Pools.CHUNK, middle);
            while (from < middles[i]) {
                while (aboveAt >= aboveEnd) {
                    above++;
                    aboveAt = middles[above];
                    aboveEnd = Math.min(begin + (above + 1) * Pools.CHUNK, middle);
                }
                int run = Math.min(aboveEnd - aboveAt, middles[i] - from);
                swaps[3 * count] = aboveAt;
                swaps[3 * count + 1] = from;
                swaps[3 * count + 2] = run;
                count++;
                aboveAt += run;
                from += run;
            }
        }
        Pools.each(0, count, 1, (swap, from, to) -> loops.swapRuns(refs, swaps[3 * swap], swaps[3 * swap + 1], swaps[3 * swap + 2]));
        return middle;
    }

    /** Cuts ranges in two and builds pieces: one thread's tools. */
    private static final class Cutter {
        private final BinnedSah build;
        private final BoxLoops loops;
        private final float[] bins = new float[BoxLoops.LANES * BoxLoops.BINS];
        private final int[] binCounts = new int[BoxLoops.BINS];
        private final int[] scratch = new int[BoxLoops.SCRATCH];
        private final float[] swept = new float[BoxLoops.LANES * 2 * BINS];
        private final float[] low = new float[3];
        private final float[] factor = new float[3];
        /** The measures of both children of each level. */
        private final float[] stack = new float[2 * BoxLoops.MEASURES * (BoxTree.DEEPEST + 1)];
        private final NodeBuffer nodes;
        private int bestAxis;
        private int bestBin;
        private float bestCost;

        Cutter(BinnedSah build) {
            this.build = build;
            loops = build.loops;
            nodes = new NodeBuffer(build.largestPiece);
        }

        TreePart piece(int begin, int end, float[] measures, int depth) {
            nodes.begin();
            System.arraycopy(measures, 0, stack, 0, BoxLoops.MEASURES);
            grow(0, begin, end, 0, depth, 2 * BoxLoops.MEASURES);
            return nodes.toPart();
        }

        /** Builds a node and all below; {@code at} is where the stack has the range's measures, {@code top} where it is free. */
        private void grow(int node, int begin, int end, int at, int depth, int top) {
            nodes.box(node, stack, at);
            int middle = cut(begin, end, stack, at, depth);
            if (middle < 0) {
                nodes.leaf(node, begin, end - begin);
                return;
            }
            int pair = nodes.pair();
            nodes.inner(node, pair);
            loops.measure(build.refs, begin, middle, build.scale, stack, top);
            loops.measure(build.refs, middle, end, build.scale, stack, top + BoxLoops.MEASURES);
            int next = top + 2 * BoxLoops.MEASURES;
            grow(pair, begin, middle, top, depth + 1, next);
            grow(pair + 1, middle, end, top + BoxLoops.MEASURES, depth + 1, next);
        }

        /**
         * Moves the references of a range to the two sides of the best cut.
         *
         * @param at where the range's measures begin
         * @return where the right side begins, or −1 to make a leaf
         */
        int cut(int begin, int end, float[] measures, int at, int depth) {
            int count = end - begin;
            LeafRule rule = build.rule;
            if (count == 1 || (rule.block() > 1 && count <= rule.block())) {
                return -1;
            }
            bestAxis = -1;
            bestCost = Float.POSITIVE_INFINITY;
            if (depth < HALVE_DEPTH) {
                choose(begin, end, measures, at);
            }
            if (count <= rule.most()) {
                double area = scaledArea(measures, at, build.scale);
                if (!(rule.innerCost() * area + bestCost < area * cost(count))) {
                    return -1;
                }
            }
            if (bestAxis < 0) {
                return (begin + end) >>> 1;
            }
            if (count > LARGE) {
                return build.partLarge(begin, end, bestAxis, low[bestAxis], factor[bestAxis], bestBin);
            }
            return loops.part(build.refs, begin, end, bestAxis, build.scale, low[bestAxis], factor[bestAxis], bestBin);
        }

        private void choose(int begin, int end, float[] measures, int at) {
            int count = end - begin;
            int binCount = Math.min(BINS, 4 + count / 4);
            for (int axis = 0; axis < 3; axis++) {
                low[axis] = -measures[at + BoxLoops.LANES + axis];
                float extent = measures[at + BoxLoops.LANES + BoxLoops.HIGH + axis] - low[axis];
                // No extent, or one so small that the factor overflows: all fall into the first bin, and no cut is found on this axis.
                float f = (binCount - 1) / extent;
                factor[axis] = extent > 0 && f < Float.POSITIVE_INFINITY ? f : 0f;
                BoxLoops.clear(bins, axis * BINS, binCount);
            }
            Arrays.fill(binCounts, 0);
            if (count > LARGE) {
                binLarge(begin, end);
            } else {
                loops.bin(build.refs, begin, end, build.scale, low, factor, bins, binCounts, scratch);
            }
            for (int axis = 0; axis < 3; axis++) {
                if (factor[axis] > 0) {
                    loops.sweep(bins, axis * BINS, binCount, build.scale, swept);
                    weigh(axis, binCount, count);
                }
            }
        }

        private void weigh(int axis, int binCount, int count) {
            int first = axis * BINS;
            int left = 0;
            for (int bin = 1; bin < binCount; bin++) {
                left += binCounts[first + bin - 1];
                if (left == 0 || left == count) {
                    continue;
                }
                float cost = area(swept, BoxLoops.LANES * (bin - 1)) * cost(left)
                        + area(swept, BoxLoops.LANES * (BINS + bin)) * cost(count - left);
                if (cost < bestCost) {
                    bestCost = cost;
                    bestAxis = axis;
                    bestBin = bin;
                }
            }
        }

        private void binLarge(int begin, int end) {
            int chunks = Pools.chunks(begin, end);
            float[][] chunkBins = new float[chunks][];
            int[][] chunkCounts = new int[chunks][];
            Pools.each(begin, end, (chunk, from, to) -> {
                float[] own = new float[bins.length];
                BoxLoops.clear(own, 0, 3 * BINS);
                int[] ownCounts = new int[binCounts.length];
                loops.bin(build.refs, from, to, build.scale, low, factor, own, ownCounts, new int[BoxLoops.SCRATCH]);
                chunkBins[chunk] = own;
                chunkCounts[chunk] = ownCounts;
            });
            for (int chunk = 0; chunk < chunks; chunk++) {
                References.grow(bins, chunkBins[chunk], 0, BoxLoops.LANES * 3 * BINS);
                for (int i = 0; i < binCounts.length; i++) {
                    binCounts[i] += chunkCounts[chunk][i];
                }
            }
        }

        private int cost(int count) {
            return build.blockShift >= 0 ? (count + build.rule.block() - 1) >>> build.blockShift : build.rule.leafCost(count);
        }

        private static float area(float[] extents, int at) {
            float x = extents[at];
            float y = extents[at + 1];
            float z = extents[at + 2];
            return x * y + y * z + z * x;
        }

        private static double scaledArea(float[] box, int at, float scale) {
            float x = box[at + BoxLoops.HIGH] * scale + box[at] * scale;
            float y = box[at + BoxLoops.HIGH + 1] * scale + box[at + 1] * scale;
            float z = box[at + BoxLoops.HIGH + 2] * scale + box[at + 2] * scale;
            return x * y + y * z + z * x;
        }
    }
}
