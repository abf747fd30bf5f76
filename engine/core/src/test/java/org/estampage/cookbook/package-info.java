/** Recipes for embedders: short pieces of code that run. The page {@code engine/docs/COOKBOOK.md} and the engine's Javadoc show them. */
@NullMarked
package org.estampage.cookbook;

import org.jspecify.annotations.NullMarked;
