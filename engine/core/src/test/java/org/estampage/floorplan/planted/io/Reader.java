package org.estampage.floorplan.planted.io;

import org.estampage.floorplan.planted.mesh.Thing;

/** A lawful class: io sees mesh. */
public final class Reader {
    Thing read() {
        return new Thing();
    }
}
