package org.estampage.examples.editor.model;

import java.util.function.Consumer;

/**
 * Who is told, on the event dispatch thread, how a piece of work ended.
 *
 * @param done    takes what it gave
 * @param failed  takes what to tell the user
 * @param stopped called when it was cancelled
 * @param <T>     what the work gives
 */
public record Outcome<T>(Consumer<? super T> done, Consumer<Notice> failed, Runnable stopped) {
    /** Returns an outcome for work that nobody misses when it is cancelled. */
    public static <T> Outcome<T> of(Consumer<? super T> done, Consumer<Notice> failed) {
        return new Outcome<>(done, failed, () -> {
        });
    }
}
