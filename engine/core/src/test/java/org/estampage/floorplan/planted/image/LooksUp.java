package org.estampage.floorplan.planted.image;

import jdk.incubator.vector.FloatVector;
import org.estampage.floorplan.planted.mesh.Thing;
import org.joml.Vector3f;

/** Breaks three rules. */
public final class LooksUp {
    Thing thing;
    Vector3f vector;
    FloatVector lanes;
}
