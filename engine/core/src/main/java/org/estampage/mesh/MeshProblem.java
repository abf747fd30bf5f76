package org.estampage.mesh;

import java.util.List;

/** One reason why a mesh can't be used for what was asked. A closed set. */
public sealed interface MeshProblem {
    /** Returns one sentence: what is wrong, where, and what to do. */
    String message();

    /**
     * A mesh has no triangles.
     *
     * @param mesh what the mesh is called in the message
     */
    record NoTriangles(String mesh) implements MeshProblem {
        @Override
        public String message() {
            return mesh + " has no triangles; load a file with faces";
        }
    }

    /**
     * A mesh has no UVs.
     *
     * @param mesh what the mesh is called in the message
     */
    record NoUvs(String mesh) implements MeshProblem {
        @Override
        public String message() {
            return mesh + " has no UVs; lay it flat first, or load a file that has them";
        }
    }

    /**
     * Values of a mesh are not finite.
     *
     * @param mesh      what the mesh is called in the message
     * @param attribute which values, in the plural
     * @param count     how many
     * @param first     the number of the first, counted from 0
     */
    record NotFinite(String mesh, String attribute, long count, int first) implements MeshProblem {
        @Override
        public String message() {
            return mesh + " has " + count + " " + attribute + " that are not finite numbers, the first is number " + first
                    + "; repair the file they came from";
        }
    }

    /**
     * A cage does not fit its low poly.
     *
     * @param what what is counted, in the plural
     * @param cage how many the cage has
     * @param low  how many the low poly has
     */
    record CageMismatch(String what, int cage, int low) implements MeshProblem {
        @Override
        public String message() {
            return "the cage has " + cage + " " + what + ", the low poly " + low
                    + "; a cage needs the low poly's vertices and faces in its order";
        }
    }

    /**
     * Low-poly parts without a partner of the same name.
     *
     * @param lowParts  the parts without a partner
     * @param highParts the names there are to choose from
     */
    record NoPartner(List<String> lowParts, List<String> highParts) implements MeshProblem {
        @Override
        public String message() {
            return "no high-poly part is named like " + String.join(", ", lowParts) + "; there are " + String.join(", ", highParts);
        }
    }
}
