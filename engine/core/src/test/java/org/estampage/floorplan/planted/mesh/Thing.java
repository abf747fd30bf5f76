package org.estampage.floorplan.planted.mesh;

/** A lawful class. */
public final class Thing {
}
