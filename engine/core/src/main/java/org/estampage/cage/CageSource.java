package org.estampage.cage;

/** A cage, or something that can make one: what takes a cage takes either. */
public interface CageSource {
    /** Returns the cage; a builder does its work now. */
    Cage build();
}
