package org.estampage.report;

import java.util.Optional;
import org.joml.Vector2fc;
import org.joml.Vector3fc;

/**
 * A place of a finding, where it could be found on the low poly.
 *
 * @param text  how it is called
 * @param point on or near the surface, in mesh units
 * @param uv    in the layout
 * @threads immutable by contract
 */
record Spot(String text, Optional<Vector3fc> point, Optional<Vector2fc> uv) {
}
