/**
 * Work that is not done twice, and work that is done again: a cache of values on disk, files that are watched, sets of assets.
 *
 * <p>A key is the SHA-256 of all that reaches a value: what is done, its options, its inputs, the engine's own code. What can't be told by its content, such
 * as somebody's lambda, is never kept. Start reading at {@link org.estampage.session.Keeper}; keys come from {@code Fingerprint}. Does not print, and deletes
 * nothing that it has not written.
 */
@NullMarked
package org.estampage.session;

import org.jspecify.annotations.NullMarked;
