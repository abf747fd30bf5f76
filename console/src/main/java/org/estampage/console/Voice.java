package org.estampage.console;

import java.nio.file.Path;
import java.util.function.LongSupplier;
import org.estampage.finding.Finding;
import org.estampage.task.Progress;

/**
 * What the console says beside what scripts print: progress, warnings, findings, errors.
 *
 * @threads safe for concurrent calls
 */
interface Voice extends Progress {
    /** Takes away what is there for the moment only, so that others can print. */
    void clear();

    /** Counts rays from now on for the stages that come: how many were traced so far. */
    void countRays(LongSupplier raysSoFar);

    /** Tells what ended a script, or a snippet of it. */
    void failed(String script, Place place, Snippets.Failure failure);

    /** Tells why a script can't even begin. */
    void refused(String text);

    /** Tells where in the code an error arose. */
    void trace(Throwable exception);

    /** Tells what may be meant otherwise. */
    void warn(String text);

    /** Tells what a file's format could not carry. */
    void found(String about, Finding finding);

    /** Tells what a bake noticed, which scripts print themselves where people read. */
    void noticed(String about, Finding finding);

    /** Tells that a file was written. */
    void wrote(String shown, Path file);

    /** Tells what somebody wants to know before a long wait. */
    void note(String text);
}
