package org.estampage.mesh;

import java.util.List;

/** One reason why a mesh can't be used for what was asked. A closed set. */
public sealed interface MeshProblem {
    /** Returns one sentence: what is wrong, where, and what to do. */
    String message();

    /** A mesh has no triangles. */
    record NoTriangles(String mesh) implements MeshProblem {
        @Override
        public String message() {
            return mesh + " has no triangles; load a file with faces";
        }
    }

    /** A mesh has no UVs. */
    record NoUvs(String mesh) implements MeshProblem {
        @Override
        public String message() {
            return mesh + " has no UVs; lay it flat first, or load a file that has them";
        }
    }

    /** A vertex is not a finite point. */
    record NotFinite(String mesh, String attribute, long count, int first) implements MeshProblem {
        @Override
        public String message() {
            return mesh + " has " + count + " " + attribute + " that are not finite numbers, the first is number " + first
                    + "; repair the file they came from";
        }
    }

    /** A cage does not fit its low poly. */
    record CageMismatch(String what, int cage, int low) implements MeshProblem {
        @Override
        public String message() {
            return "the cage has " + cage + " " + what + ", the low poly " + low
                    + "; a cage needs the low poly's vertices and faces in its order";
        }
    }

    /** Low-poly parts without a partner of the same name. */
    record NoPartner(List<String> lowParts, List<String> highParts) implements MeshProblem {
        @Override
        public String message() {
            return "no high-poly part is named like " + String.join(", ", lowParts) + "; there are " + String.join(", ", highParts);
        }
    }
}
