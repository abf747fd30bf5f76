package org.estampage.uv;

import java.util.Arrays;

/**
 * A priority queue of numbered things, the cheapest first; of equal cost the lower item, then the lower tag. There is no decrease-key: things are added
 * again, and whoever takes them out passes over the stale ones.
 *
 * @threads confined
 */
final class CostQueue {
    private double[] cost = new double[256];
    private int[] item = new int[256];
    private int[] tag = new int[256];
    private int size;
    private double firstCost;
    private int firstItem;
    private int firstTag;

    /** Empties the queue. */
    void clear() {
        size = 0;
    }

    /** Adds a thing. */
    void add(double newCost, int newItem, int newTag) {
        if (size == cost.length) {
            cost = Arrays.copyOf(cost, 2 * size);
            item = Arrays.copyOf(item, 2 * size);
            tag = Arrays.copyOf(tag, 2 * size);
        }
        int at = size++;
        while (at > 0) {
            int above = (at - 1) >> 1;
            if (!before(newCost, newItem, newTag, above)) {
                break;
            }
            move(above, at);
            at = above;
        }
        set(at, newCost, newItem, newTag);
    }

    /** Takes the cheapest thing out, for {@link #cost}, {@link #item} and {@link #tag}; returns false when there is none. */
    boolean take() {
        if (size == 0) {
            return false;
        }
        firstCost = cost[0];
        firstItem = item[0];
        firstTag = tag[0];
        size--;
        double lastCost = cost[size];
        int lastItem = item[size];
        int lastTag = tag[size];
        int at = 0;
        while (2 * at + 1 < size) {
            int below = 2 * at + 1;
            if (below + 1 < size && before(cost[below + 1], item[below + 1], tag[below + 1], below)) {
                below++;
            }
            if (before(lastCost, lastItem, lastTag, below)) {
                break;
            }
            move(below, at);
            at = below;
        }
        set(at, lastCost, lastItem, lastTag);
        return true;
    }

    double cost() {
        return firstCost;
    }

    int item() {
        return firstItem;
    }

    int tag() {
        return firstTag;
    }

    private boolean before(double c, int i, int t, int other) {
        if (c != cost[other]) {
            return c < cost[other];
        }
        return i != item[other] ? i < item[other] : t < tag[other];
    }

    private void move(int from, int to) {
        cost[to] = cost[from];
        item[to] = item[from];
        tag[to] = tag[from];
    }

    private void set(int at, double c, int i, int t) {
        cost[at] = c;
        item[at] = i;
        tag[at] = t;
    }
}
