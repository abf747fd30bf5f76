/**
 * A small desktop editor that embeds the engine: opens meshes, shows the cage, bakes with live blocks, looks at maps through a loupe, saves.
 *
 * <p>{@code model} holds what the editor knows, {@code drawing} makes pictures of it, {@code view} shows them. Start reading at {@link
 * org.estampage.examples.editor.Editor}. Uses the engine's public packages only.
 */
@NullMarked
package org.estampage.examples.editor;

import org.jspecify.annotations.NullMarked;
