package org.estampage.examples.editor.drawing;

import java.util.List;
import org.estampage.examples.editor.model.CageShape;
import org.estampage.examples.editor.model.OpenMesh;
import org.jspecify.annotations.Nullable;

/**
 * What is to be drawn.
 *
 * @param highs   the high polys; none to leave them out
 * @param low     the low poly; null to leave it out
 * @param cage    the cage over them; null to leave it out
 * @param palette the colours
 */
public record Scene(List<OpenMesh> highs, @Nullable OpenMesh low, @Nullable CageShape cage, ScenePalette palette) {
    /** Copies the list. */
    public Scene {
        highs = List.copyOf(highs);
    }

    /** Returns whether there is nothing to draw. */
    public boolean isEmpty() {
        return highs.isEmpty() && low == null && cage == null;
    }
}
