/** Holds the floor plan: which package may use which. {@code planted} is a second, small engine that breaks it on purpose. */
package org.estampage.floorplan;
