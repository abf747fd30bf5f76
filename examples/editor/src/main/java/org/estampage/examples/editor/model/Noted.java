package org.estampage.examples.editor.model;

import java.util.List;
import java.util.Objects;
import org.estampage.finding.Finding;
import org.estampage.mesh.Mesh;
import org.jspecify.annotations.Nullable;

/**
 * A finding, and what it is about.
 *
 * @param finding what was noticed
 * @param about   a word or two: a file's name, the cage, the bake
 * @param mesh    whose triangles and vertices the places name; null when unknown
 * @param tile    the number of the tile whose texels the places name
 */
public record Noted(Finding finding, String about, @Nullable Mesh mesh, int tile) {
    /** Returns its places that a view can show, in order. */
    public List<Spot> spots() {
        return finding.places().stream().map(place -> Spot.of(place, mesh, tile)).filter(Objects::nonNull).toList();
    }
}
