/**
 * Turns what the model holds into pictures: the 3D view by the engine's ray tracers, maps by their encodings.
 *
 * <p>Pictures are made away from the event dispatch thread. Start reading at {@link org.estampage.examples.editor.drawing.ScenePainter} and {@link
 * org.estampage.examples.editor.drawing.MapSheet}. Does not know a component.
 */
@NullMarked
package org.estampage.examples.editor.drawing;

import org.jspecify.annotations.NullMarked;
