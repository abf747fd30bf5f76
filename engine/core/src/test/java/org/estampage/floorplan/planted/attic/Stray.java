package org.estampage.floorplan.planted.attic;

/** In a room that does not exist. */
public final class Stray {
}
