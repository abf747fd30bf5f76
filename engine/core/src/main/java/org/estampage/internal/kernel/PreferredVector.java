package org.estampage.internal.kernel;

import jdk.incubator.vector.FloatVector;

/** Asks the Vector API for its widest vectors; apart from {@link Kernels} because it must not be loaded where the module is missing. */
final class PreferredVector {
    private PreferredVector() {
    }

    static int floatLanes() {
        return FloatVector.SPECIES_PREFERRED.length();
    }
}
