package org.estampage.examples.editor.model;

import java.io.IOException;
import org.estampage.task.Task;

/**
 * A piece of work for the engine, which must not run on the event dispatch thread.
 *
 * @param <T> what it gives
 */
@FunctionalInterface
public interface Work<T> {
    /** Does it, reporting to and stopped by {@code task}. */
    T run(Task task) throws IOException;
}
