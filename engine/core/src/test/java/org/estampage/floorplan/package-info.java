/** Holds the floor plan: which package may use which. {@code planted} is a second, small engine that breaks it on purpose. */
@NullMarked
package org.estampage.floorplan;

import org.jspecify.annotations.NullMarked;
