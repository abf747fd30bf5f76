package org.estampage.mesh;

import java.util.Objects;
import org.joml.Matrix4f;
import org.joml.Matrix4fc;

/**
 * A named object inside a mesh. Positions of a mesh are already in the mesh's own space; the transform is what the file applied to get there, kept
 * so that it can be taken off again on writing.
 *
 * @threads immutable
 */
public final class Part {
    private final String name;
    private final Matrix4f meshFromPart;

    /** Makes a part whose own space is the mesh's space. */
    public Part(String name) {
        this(name, new Matrix4f());
    }

    /** Makes a part; the matrix is copied. */
    public Part(String name, Matrix4fc meshFromPart) {
        this.name = Objects.requireNonNull(name, "name");
        this.meshFromPart = new Matrix4f(meshFromPart);
    }

    /** Returns the name. */
    public String name() {
        return name;
    }

    /** Returns the transform from the part's own space to the mesh's. */
    public Matrix4fc meshFromPart() {
        return meshFromPart;
    }

    @Override
    public String toString() {
        return name;
    }
}
