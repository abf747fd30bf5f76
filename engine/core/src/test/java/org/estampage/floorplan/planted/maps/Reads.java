package org.estampage.floorplan.planted.maps;

import org.estampage.floorplan.planted.io.Reader;

/** A map that reads a file. */
public final class Reads {
    Reader reader;
}
