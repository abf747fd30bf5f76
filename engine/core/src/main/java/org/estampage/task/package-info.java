/**
 * What a long operation is given besides its data: where to report progress, how to notice that it was cancelled, how much memory it may take.
 *
 * <p>Start reading at {@link org.estampage.task.Task}. Does not start threads and does not print.
 */
@NullMarked
package org.estampage.task;

import org.jspecify.annotations.NullMarked;
