package org.estampage.bvh;

import java.util.Arrays;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;

/**
 * One run of {@link AgglomerativeBuilder}: clusters of triangles along the Morton curve, of which neighbours are joined until one is left.
 *
 * <p>Each round, every cluster looks for the one, at most {@link #RADIUS} places away, with which it would have the smallest common box; two that choose
 * each other are joined, and stand where the first of them stood. Of equally small boxes the one counts whose place differs in lower bits: so a pair's
 * rank is the same from both sides, the first pair of all chooses each other, and triangles at one place are halved.
 *
 * <p>All parts of a round work on fixed chunks, and a cluster's number follows from its place: the tree is the same for any number of threads.
 */
final class Clusters {
    /** How far clusters look. On 300 k triangles of a ball 4, 8 and 16 gave costs of 101, 100 and 104; time grows with it. */
    private static final int RADIUS = 8;
    /** When fewer than one in so many clusters disappears in a round, neighbours are joined whatever their boxes are. */
    private static final int SLOW = 64;
    private final LeafRule rule;
    private final Task task;
    private final int count;
    /** Clusters 0 … count − 1 are the triangles in Morton order; each later one has two parts. */
    private final float[] boxes;
    private final int[] first;
    private final int[] second;
    /** How many triangles a later cluster has; negative when it becomes a leaf. */
    private final int[] sizes;
    /** What a ray spends in a later cluster, as area times price. */
    private final double[] costs;
    private final int[] triangles;
    private int nextNode = 1;
    private int nextTriangle;

    private Clusters(Mesh mesh, MortonOrder order, LeafRule rule, Task task) {
        this.rule = rule;
        this.task = task;
        triangles = order.triangles;
        count = triangles.length;
        boxes = new float[Math.multiplyExact(BoxTree.BOX, 2 * count - 1)];
        first = new int[count - 1];
        second = new int[count - 1];
        sizes = new int[count - 1];
        costs = new double[count - 1];
        float[] positions = mesh.positions();
        int[] corners = mesh.positionIndices();
        Pools.each(0, count, (chunk, begin, end) -> {
            for (int i = begin; i < end; i++) {
                NodeBuffer.fit(boxes, BoxTree.BOX * i, positions, corners, triangles, i, i + 1);
            }
        });
    }

    /** Builds a tree over at least one triangle. */
    static BoxTree build(Mesh mesh, int[] triangles, LeafRule rule, Task task) {
        Task.Stage stage = task.stage("building the ray tree", triangles.length);
        Clusters c = new Clusters(mesh, MortonOrder.of(mesh, triangles), rule, task);
        int root = c.join(stage);
        int nodes = c.nodes(root);
        // Boxes, parts, sizes and prices of clusters, and triangles in Morton order; beside them first places and partners, then the tree.
        long clusters = 4L * (c.boxes.length + 3L * c.first.length) + 8L * c.costs.length + 4L * c.count;
        long peak = clusters + Math.max(12L * c.count, 4L * c.count + TreePart.nodeBytes(nodes));
        BoxTree tree = new BoxTree(new float[Math.multiplyExact(BoxTree.BOX, nodes)], new int[nodes], new int[nodes], new int[c.count],
                peak);
        c.place(root, 0, tree);
        return tree;
    }

    /** Joins clusters until one is left; returns its number. */
    private int join(Task.Stage stage) {
        int[] places = new int[count];
        int[] next = new int[count];
        int[] partners = new int[count];
        Arrays.setAll(places, i -> i);
        int made = count;
        int length = count;
        for (int round = 0; length > 1; round++) {
            task.check();
            int all = length;
            int[] from = places;
            int[] to = next;
            int chunks = Pools.chunks(0, all);
            int[] joined = new int[chunks];
            int[] gone = new int[chunks];
            // A round makes the tree at most one deeper. When only halving can keep it shallow enough, halve.
            if (round + 32 - Integer.numberOfLeadingZeros(all - 1) < BoxTree.DEEPEST - 1) {
                Pools.each(0, all, (chunk, begin, end) -> choose(from, all, begin, end, partners));
                Pools.each(0, all, (chunk, begin, end) -> count(partners, chunk, begin, end, joined, gone));
            }
            int total = Arrays.stream(gone).sum();
            if (total < (all + SLOW - 1) / SLOW) {
                Pools.each(0, all, (chunk, begin, end) -> {
                    for (int i = begin; i < end; i++) {
                        partners[i] = (i ^ 1) < all ? i ^ 1 : i; // the last of an odd number stays alone
                    }
                });
                Pools.each(0, all, (chunk, begin, end) -> count(partners, chunk, begin, end, joined, gone));
                total = all / 2;
            }
            // Turns counts into the first cluster that each chunk makes, and the place where its first one goes.
            int number = made;
            int lost = 0;
            for (int i = 0; i < chunks; i++) {
                int j = joined[i];
                joined[i] = number;
                number += j;
                int g = gone[i];
                gone[i] = i * Pools.CHUNK - lost;
                lost += g;
            }
            Pools.each(0, all, (chunk, begin, end) -> move(from, partners, begin, end, to, gone[chunk], joined[chunk]));
            made = number;
            length -= total;
            places = to;
            next = from;
            stage.advance(total);
        }
        stage.advance(1); // the last one that is left
        return places[0];
    }

    private void choose(int[] places, int all, int begin, int end, int[] partners) {
        float[] b = boxes;
        for (int i = begin; i < end; i++) {
            int at = BoxTree.BOX * places[i];
            float lowX = b[at];
            float lowY = b[at + 1];
            float lowZ = b[at + 2];
            float highX = b[at + 3];
            float highY = b[at + 4];
            float highZ = b[at + 5];
            double least = Double.POSITIVE_INFINITY;
            int partner = i;
            int last = Math.min(all - 1, i + RADIUS);
            for (int j = Math.max(0, i - RADIUS); j <= last; j++) {
                int o = BoxTree.BOX * places[j];
                // In double precision extents and areas neither overflow nor vanish.
                double x = (double) Math.max(highX, b[o + 3]) - Math.min(lowX, b[o]);
                double y = (double) Math.max(highY, b[o + 4]) - Math.min(lowY, b[o + 1]);
                double z = (double) Math.max(highZ, b[o + 5]) - Math.min(lowZ, b[o + 2]);
                double area = x * y + y * z + z * x;
                if (j != i && (area < least || (area == least && (i ^ j) < (i ^ partner)))) {
                    least = area;
                    partner = j;
                }
            }
            partners[i] = partner;
        }
    }

    /** Counts the pairs whose first one is in a chunk, and those whose second one is. */
    private static void count(int[] partners, int chunk, int begin, int end, int[] joined, int[] gone) {
        int firsts = 0;
        int seconds = 0;
        for (int i = begin; i < end; i++) {
            int j = partners[i];
            if (j != i && partners[j] == i) {
                firsts += i < j ? 1 : 0;
                seconds += i < j ? 0 : 1;
            }
        }
        joined[chunk] = firsts;
        gone[chunk] = seconds;
    }

    /** Joins the pairs of a chunk, and moves all that is left of it to its places in the next round. */
    private void move(int[] from, int[] partners, int begin, int end, int[] to, int place, int number) {
        int p = place;
        int made = number;
        for (int i = begin; i < end; i++) {
            int j = partners[i];
            if (j == i || partners[j] != i) {
                to[p++] = from[i];
            } else if (i < j) {
                make(made, from[i], from[j]);
                to[p++] = made++;
            }
        }
    }

    private void make(int cluster, int a, int b) {
        int at = cluster - count;
        int size = size(a) + size(b);
        TreePart.unite(boxes, BoxTree.BOX * a, boxes, BoxTree.BOX * b, boxes, BoxTree.BOX * cluster);
        first[at] = a;
        second[at] = b;
        sizes[at] = size;
        if (size <= rule.most()) {
            double area = NodeBuffer.area(boxes, BoxTree.BOX * cluster);
            double asLeaf = area * rule.leafCost(size);
            double asNode = area * rule.innerCost() + cost(a) + cost(b);
            boolean leaf = (rule.block() > 1 && size <= rule.block()) || asLeaf <= asNode;
            sizes[at] = leaf ? -size : size;
            costs[at] = leaf ? asLeaf : asNode;
        }
    }

    private int size(int cluster) {
        return cluster < count ? 1 : Math.abs(sizes[cluster - count]);
    }

    private double cost(int cluster) {
        return cluster < count ? NodeBuffer.area(boxes, BoxTree.BOX * cluster) : costs[cluster - count];
    }

    private boolean isLeaf(int cluster) {
        return cluster < count || sizes[cluster - count] < 0;
    }

    /** Returns how many nodes a cluster becomes. */
    private int nodes(int cluster) {
        return isLeaf(cluster) ? 1 : Math.addExact(1, Math.addExact(nodes(first[cluster - count]), nodes(second[cluster - count])));
    }

    /** Makes a node of a cluster, and nodes of all below, in depth-first order. */
    private void place(int cluster, int node, BoxTree tree) {
        System.arraycopy(boxes, BoxTree.BOX * cluster, tree.boxes, BoxTree.BOX * node, BoxTree.BOX);
        if (isLeaf(cluster)) {
            tree.links[node] = nextTriangle;
            tree.counts[node] = size(cluster);
            list(cluster, tree.triangles);
            return;
        }
        int pair = nextNode;
        nextNode += 2;
        tree.links[node] = pair;
        place(first[cluster - count], pair, tree);
        place(second[cluster - count], pair + 1, tree);
    }

    private void list(int cluster, int[] dest) {
        if (cluster < count) {
            dest[nextTriangle++] = triangles[cluster];
        } else {
            list(first[cluster - count], dest);
            list(second[cluster - count], dest);
        }
    }
}
