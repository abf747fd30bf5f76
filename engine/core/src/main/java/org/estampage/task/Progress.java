package org.estampage.task;

/**
 * Receives how far a long operation is.
 *
 * @threads implementations are called from any thread, several at once
 */
@FunctionalInterface
public interface Progress {
    /**
     * Reports one step forward.
     *
     * @param stage what is being done, a short phrase such as {@code "reading bollard.ply"}
     * @param done  units done so far, never above {@code total} when that is known
     * @param total units in all, or −1 when unknown
     */
    void report(String stage, long done, long total);

    /** Returns a listener that does nothing. */
    static Progress none() {
        return (stage, done, total) -> {
        };
    }
}
