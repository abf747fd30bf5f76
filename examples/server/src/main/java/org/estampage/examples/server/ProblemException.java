package org.estampage.examples.server;

/** Ends the handling of a request, or a bake, with a problem that the client is told. */
final class ProblemException extends Exception {
    private static final long serialVersionUID = 1;

    private final transient Problem problem;

    ProblemException(Problem problem) {
        super(problem.detail());
        this.problem = problem;
    }

    /** Makes an exception that another one brought about. */
    ProblemException(Problem problem, Exception cause) {
        super(problem.detail(), cause);
        this.problem = problem;
    }

    /** Makes an exception whose problem has no more to say. */
    ProblemException(ProblemKind kind, String detail) {
        this(Problem.of(kind, detail));
    }

    /** Returns what the client is told. */
    Problem problem() {
        return problem;
    }
}
