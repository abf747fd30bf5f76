package org.estampage.examples.server;

import java.util.Arrays;
import java.util.Locale;
import java.util.Optional;

/** The kinds of problems that a client can meet; each has a page at {@code /problems/<kind>} that says more. */
enum ProblemKind {
    /** Nothing is there. */
    NOT_FOUND(404, "Nothing is there", "The path names no job, map or page. A job is removed some time after it has ended."),
    /** The method does not fit. */
    METHOD_NOT_ALLOWED(405, "The method does not fit", "The header Allow names the methods that this path has."),
    /** The job is in another state. */
    WRONG_STATE(409, "The job is in another state",
            "Meshes are taken until the job is started; a job is started once, when its meshes are there; maps are there when it is done."),
    /** A body is too large. */
    TOO_LARGE(413, "Too large",
            "A mesh file, its triangles, or a job's texels, rays or memory are beyond what this server takes: what is smaller is taken at once."),
    /** The type of a body is unknown. */
    UNKNOWN_TYPE(415, "Unknown type",
            "Jobs are application/json. Meshes are model/gltf-binary, model/gltf+json, model/obj, model/stl, or application/octet-stream for a binary"
                    + " file whose first bytes tell its format, such as PLY. Bodies must not be compressed."),
    /** A request is not for this server. */
    WRONG_HOST(421, "Not this server's name",
            "The header Host names neither this machine nor a name that the server was given: a page of another site must not reach it."),
    /** What was sent can't be baked. */
    NOT_USABLE(422, "What was sent can't be used", "Each point names the place, what is wrong there and what to do."),
    /** There are too many jobs. */
    TOO_MANY_JOBS(429, "Too many jobs", "Try again after the time in the header Retry-After, or remove jobs that are not needed any more."),
    /** A bake took too long. */
    TOOK_TOO_LONG(500, "The bake took too long", "Fewer texels, samples or rays bake quicker."),
    /** Something else went wrong. */
    FAILED(500, "The server failed", "The server's log says why, beside the time and the path."),
    /** The machine lacks memory or disk. */
    SHORT_OF_ROOM(503, "Short of memory or disk",
            "The files of other jobs, or other programs, take what this one needs. The server may have room later; a smaller mesh or size needs less."),
    /** The server has no time. */
    BUSY(503, "The server is busy or stops", "Try again after the time in the header Retry-After.");

    final int status;
    final String title;
    final String explanation;

    ProblemKind(int status, String title, String explanation) {
        this.status = status;
        this.title = title;
        this.explanation = explanation;
    }

    /** Returns the last part of its page's path. */
    String id() {
        return name().toLowerCase(Locale.ROOT).replace('_', '-');
    }

    /** Returns the kind of a page. */
    static Optional<ProblemKind> of(String id) {
        return Arrays.stream(values()).filter(kind -> kind.id().equals(id)).findFirst();
    }
}
