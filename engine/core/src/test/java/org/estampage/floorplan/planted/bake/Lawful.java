package org.estampage.floorplan.planted.bake;

import org.estampage.floorplan.planted.mesh.Thing;

/** A lawful class: looks down. */
public final class Lawful {
    Thing thing;
}
