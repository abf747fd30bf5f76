/**
 * Hot array loops: a scalar reference, and later its vector twin. Not exported.
 *
 * <p>Obeys: primitive arrays and locals only, no allocation, the operations and their order are part of the contract. Does not know any other
 * package.
 */
@NullMarked
package org.estampage.internal.kernel;

import org.jspecify.annotations.NullMarked;
