/**
 * What the user sees and touches: one class a view, each showing a part of the model and listening to it.
 *
 * <p>Start reading at {@link org.estampage.examples.editor.view.EditorWindow}. Does no engine work.
 */
@NullMarked
package org.estampage.examples.editor.view;

import org.jspecify.annotations.NullMarked;
