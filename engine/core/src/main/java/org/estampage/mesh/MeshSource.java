package org.estampage.mesh;

/** A mesh, or something that can make one: every operation that takes a mesh takes either. */
public interface MeshSource {
    /** Returns the mesh; a builder does its work now. */
    Mesh build();
}
