package org.estampage.mesh;

/**
 * How much each triangle at a corner counts in the normal there.
 *
 * <p>Area is that of the polygon that a triangle came from, if the mesh still has polygons, and each polygon counts once at a corner, however many of
 * its triangles meet there: the way a polygon was cut does not show. Without polygons a face that was cut counts with each of its triangles, and
 * {@link #AREA} leans to where more of them meet; the other two hardly do so or not at all.
 */
public enum NormalWeight {
    /**
     * By the angle at the corner, so that no cut of the surface shows.
     *
     * @source Thürmer and Wüthrich, Computing Vertex Normals from Polygonal Facets, Journal of Graphics Tools 3(1), 1998 (from memory)
     */
    ANGLE,
    /**
     * By the area: the sum of the triangles' cross products. Large faces stay nearly flat beside small ones, such as those of a rounded rim.
     *
     * @source compared with other weights by Max, Weights for Computing Vertex Normals from Facet Normals, Journal of Graphics Tools 4(2), 1999 (from
     *         memory)
     */
    AREA,
    /** By the product of area and angle: large faces stay nearly flat, and a cut through a corner shows less. Common practice, no source. */
    AREA_AND_ANGLE
}
