package org.estampage.bake;

/**
 * Sees the blocks of a bake as they are done: for pictures that fill while one waits.
 *
 * <p>Given to a baker:
 * {@snippet class = "org.estampage.cookbook.CookbookTest" region = "blocks"}
 *
 * @threads called by all workers of a bake, at once; what it does takes their time
 */
@FunctionalInterface
public interface BlockListener {
    /**
     * Sees a block. What this throws ends the bake, as an error of a worker would.
     *
     * @param block what was baked; it can be asked during the call only
     */
    void done(BakedBlock block);
}
