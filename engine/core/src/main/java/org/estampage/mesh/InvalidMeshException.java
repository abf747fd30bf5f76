package org.estampage.mesh;

import java.util.List;
import java.util.stream.Collectors;

/** A job can't start because of its meshes; it lists all reasons, not only the first. */
public final class InvalidMeshException extends IllegalArgumentException {
    private static final long serialVersionUID = 1;

    private final transient List<MeshProblem> problems;

    /** Makes an exception from at least one problem. */
    public InvalidMeshException(List<MeshProblem> problems) {
        super(problems.stream().map(MeshProblem::message).collect(Collectors.joining("\n")));
        this.problems = List.copyOf(problems);
    }

    /**
     * Returns when there is no problem.
     *
     * @throws InvalidMeshException if there is one; it lists all
     */
    public static void throwIfAny(List<MeshProblem> problems) {
        if (!problems.isEmpty()) {
            throw new InvalidMeshException(problems);
        }
    }

    /** Returns all problems. */
    public List<MeshProblem> problems() {
        return problems;
    }
}
