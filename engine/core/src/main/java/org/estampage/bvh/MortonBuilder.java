package org.estampage.bvh;

import java.util.Objects;
import java.util.Queue;
import java.util.concurrent.ConcurrentLinkedQueue;
import java.util.concurrent.RecursiveTask;
import java.util.concurrent.atomic.AtomicInteger;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;

/**
 * Builds by sorting triangles along the Morton curve and cutting where their codes differ first: the quickest build, for previews; rays are slower.
 *
 * <p>Ranges that fit into a leaf become one where that costs no more than cutting them.
 *
 * @edge triangles of equal codes are cut by their place in the order of their numbers, so that no tree is deeper than a key has bits
 * @threads immutable; safe for concurrent calls
 * @cost O(n) time; 24 bytes a triangle while building, beside twice the nodes
 * @source Lauterbach et al., Fast BVH Construction on GPUs, 2009; Karras, Maximizing Parallelism in the Construction of BVHs, Octrees, and k-d Trees,
 *         2012 (places as the last bits of keys); both from memory. Ranges are cut from the top, in parallel; Karras' numbering is not needed for that
 */
public final class MortonBuilder implements TreeBuilder {
    /** Makes the builder. */
    public MortonBuilder() {
    }

    @Override
    public BoxTree build(Mesh mesh, int[] triangles, LeafRule rule, Task task) {
        Objects.requireNonNull(rule, "rule");
        int count = triangles.length;
        task.check();
        if (count == 0) {
            return new BoxTree(new float[0], new int[0], new int[0], new int[0], 0);
        }
        Run run = new Run(mesh, rule, task, count, MortonOrder.of(mesh, triangles));
        TreePart root = Pools.run(new Range(run, 0, count), count);
        // Sorting takes two arrays of keys; what follows has one of them, and the nodes.
        long keys = 8L * count;
        long peak = Math.max((long) MortonOrder.PEAK_BYTES * count,
                keys + 4L * count + TreePart.nodeBytes(root.nodeCount()) + run.workers.get() * NodeBuffer.bytes(run.largestPiece));
        return TreePart.join(root, run.order.triangles, peak, keys);
    }

    /** Returns "Morton". */
    @Override
    public String toString() {
        return "Morton";
    }

    /** What all threads of one build share. */
    private static final class Run {
        final Mesh mesh;
        final LeafRule rule;
        final Task task;
        final Task.Stage stage;
        final MortonOrder order;
        final int largestPiece;
        final Queue<Worker> idle = new ConcurrentLinkedQueue<>();
        final AtomicInteger workers = new AtomicInteger();

        Run(Mesh mesh, LeafRule rule, Task task, int count, MortonOrder order) {
            this.mesh = mesh;
            this.rule = rule;
            this.task = task;
            this.order = order;
            stage = task.stage("building the ray tree", count);
            largestPiece = Math.min(count, Pools.LITTLE);
        }

        Worker worker() {
            Worker w = idle.poll();
            if (w == null) {
                workers.incrementAndGet();
                return new Worker(this);
            }
            return w;
        }
    }

    /** A range of the order; it cuts itself until it is small enough for one thread. */
    private static final class Range extends RecursiveTask<TreePart> {
        private static final long serialVersionUID = 1L;
        private final transient Run run;
        private final int begin;
        private final int end;

        Range(Run run, int begin, int end) {
            this.run = run;
            this.begin = begin;
            this.end = end;
        }

        @Override
        protected TreePart compute() {
            run.task.check();
            if (end - begin <= Pools.LITTLE) {
                Worker worker = run.worker();
                TreePart piece = worker.piece(begin, end);
                run.idle.add(worker);
                run.stage.advance(end - begin);
                return piece;
            }
            int middle = run.order.cut(begin, end);
            Range left = new Range(run, begin, middle);
            Range right = new Range(run, middle, end);
            right.fork();
            TreePart leftPart = left.compute();
            return TreePart.under(leftPart, right.join());
        }
    }

    /** One thread's tools. */
    private static final class Worker {
        private final Run run;
        private final float[] positions;
        private final int[] corners;
        private final NodeBuffer nodes;

        Worker(Run run) {
            this.run = run;
            positions = run.mesh.positions();
            corners = run.mesh.positionIndices();
            nodes = new NodeBuffer(run.largestPiece);
        }

        TreePart piece(int begin, int end) {
            nodes.begin();
            grow(0, begin, end);
            return nodes.toPart();
        }

        /** Builds a node and all below; returns what a ray that meets the mesh's box spends there, as area times price. */
        private double grow(int node, int begin, int end) {
            int count = end - begin;
            LeafRule rule = run.rule;
            if (count == 1 || (rule.block() > 1 && count <= rule.block())) {
                nodes.leaf(node, begin, count);
                nodes.fit(node, positions, corners, run.order.triangles, begin, end);
                return count <= rule.most() ? nodes.area(node) * rule.leafCost(count) : 0;
            }
            int middle = run.order.cut(begin, end);
            int pair = nodes.pair();
            nodes.inner(node, pair);
            double below = grow(pair, begin, middle) + grow(pair + 1, middle, end);
            nodes.unite(node);
            if (count > rule.most()) {
                return 0; // nothing above can become a leaf
            }
            double area = nodes.area(node);
            double asLeaf = area * rule.leafCost(count);
            double asNode = area * rule.innerCost() + below;
            if (asNode < asLeaf) {
                return asNode;
            }
            nodes.back(pair);
            nodes.leaf(node, begin, count);
            return asLeaf;
        }
    }
}
