package org.estampage.examples.server;

import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import org.estampage.finding.Place;
import org.estampage.io.format.FormatException;
import org.estampage.mesh.InvalidMeshException;

/**
 * What went wrong, in the form that a client gets.
 *
 * @param kind       its kind
 * @param detail     one or more sentences: what is wrong in this case
 * @param points     each single thing that is wrong, where there is more to say than the detail
 * @param retryAfter when to try again, where that helps
 * @threads immutable
 * @source M. Nottingham, E. Wilde, S. Dalal, "Problem Details for HTTP APIs", RFC 9457, 2023; the type is a relative reference (section 3.1.1)
 */
record Problem(ProblemKind kind, String detail, List<Point> points, Optional<Duration> retryAfter) {
    /**
     * One thing that is wrong.
     *
     * @param where  a field as a JSON pointer (RFC 6901), a mesh, or a place in its file
     * @param what   what is wrong there
     * @param remedy what to do
     */
    record Point(String where, String what, String remedy) {
    }

    Problem {
        points = List.copyOf(points);
    }

    /** Returns a problem without more to say. */
    static Problem of(ProblemKind kind, String detail) {
        return new Problem(kind, detail, List.of(), Optional.empty());
    }

    /** Returns a problem that may have gone after some time. */
    static Problem later(ProblemKind kind, String detail, Duration time) {
        return new Problem(kind, detail, List.of(), Optional.of(time));
    }

    /** Returns the problem of something that can't be used, at one place. */
    static Problem notUsable(String where, String what, String remedy) {
        return new Problem(ProblemKind.NOT_USABLE, what, List.of(new Point(where, what, remedy)), Optional.empty());
    }

    /** Returns the problem of a file that is not what its format allows. */
    static Problem of(FormatException e) {
        return notUsable(e.place().map(Place::toString).orElse(e.source()), String.valueOf(e.getMessage()),
                "export the mesh again, or send it in another format");
    }

    /** Returns the problem of meshes that can't be baked, with every reason. */
    static Problem of(String where, InvalidMeshException e) {
        List<Point> points = new ArrayList<>();
        e.problems().forEach(problem -> points.add(new Point(where, problem.message(), "repair the mesh and send it again")));
        return new Problem(ProblemKind.NOT_USABLE, String.valueOf(e.getMessage()), points, Optional.empty());
    }
}
