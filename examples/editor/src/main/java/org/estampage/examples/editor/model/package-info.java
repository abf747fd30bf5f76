/**
 * What the editor knows: the open meshes, the cage, what is to be baked and what was, the work that runs beside the window.
 *
 * <p>Everything here is confined to the event dispatch thread, unless it says otherwise; the engine's work runs in a {@link
 * org.estampage.examples.editor.model.Lane}. Start reading at {@link org.estampage.examples.editor.model.Workspace}. Does not know a component.
 */
@NullMarked
package org.estampage.examples.editor.model;

import org.jspecify.annotations.NullMarked;
