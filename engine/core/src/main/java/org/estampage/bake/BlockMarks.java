package org.estampage.bake;

import java.util.BitSet;
import org.estampage.image.Mask;

/**
 * Which texels of a block are covered, hit, and full; kept by the worker and merged into the image's masks under a lock, since neighbouring blocks
 * share words of a bit set.
 *
 * @threads confined, but for {@link #mergeInto}
 */
final class BlockMarks {
    private final BitSet covered = new BitSet();
    private final BitSet hit = new BitSet();
    private final BitSet full = new BitSet();
    private int x;
    private int y;
    private int width;

    void begin(int blockX, int blockY, int blockWidth, int blockHeight) {
        x = blockX;
        y = blockY;
        width = blockWidth;
        covered.clear();
        hit.clear();
        full.clear();
    }

    void mark(int texel, boolean isHit, boolean isFull) {
        covered.set(texel);
        if (isHit) {
            hit.set(texel);
        }
        if (isFull) {
            full.set(texel);
        }
    }

    void mergeInto(Mask allCovered, Mask allHit, Mask allFull) {
        merge(covered, allCovered);
        merge(hit, allHit);
        merge(full, allFull);
    }

    private void merge(BitSet marks, Mask mask) {
        synchronized (mask) {
            for (int i = marks.nextSetBit(0); i >= 0; i = marks.nextSetBit(i + 1)) {
                mask.set(x + i % width, y + i / width);
            }
        }
    }
}
