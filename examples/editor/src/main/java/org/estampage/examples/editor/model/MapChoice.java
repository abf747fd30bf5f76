package org.estampage.examples.editor.model;

import java.util.function.IntFunction;
import org.estampage.bake.SurfaceMap;
import org.estampage.maps.BentNormalMap;
import org.estampage.maps.ColourMap;
import org.estampage.maps.CurvatureMap;
import org.estampage.maps.HeightMap;
import org.estampage.maps.IdMap;
import org.estampage.maps.NormalMap;
import org.estampage.maps.ObjectNormalMap;
import org.estampage.maps.OcclusionMap;
import org.estampage.maps.OpacityMap;
import org.estampage.maps.PositionMap;
import org.estampage.maps.ThicknessMap;

/** The maps that the editor offers. */
public enum MapChoice {
    /** Normals in the low poly's frame. */
    NORMAL("Normals", "the high poly's normals in the low poly's tangent frame", rays -> NormalMap.create()),
    /** Ambient occlusion. */
    OCCLUSION("Occlusion", "how open the surface is to light from all around", OcclusionMap::create),
    /** Height. */
    HEIGHT("Height", "how far the high poly is from the low poly", rays -> HeightMap.create()),
    /** Curvature. */
    CURVATURE("Curvature", "where the surface bulges and where it is hollow", rays -> CurvatureMap.create()),
    /** Vertex or texture colours. */
    COLOUR("Colour", "the high poly's vertex colours or textures", rays -> ColourMap.create()),
    /** Position. */
    POSITION("Position", "where each texel lies in the bounds of the high poly", rays -> PositionMap.create()),
    /** Normals in object space. */
    OBJECT_NORMAL("Object normals", "the high poly's normals in object space", rays -> ObjectNormalMap.create()),
    /** Bent normals. */
    BENT_NORMAL("Bent normals", "the mean direction that light comes from", BentNormalMap::create),
    /** Thickness. */
    THICKNESS("Thickness", "how much material lies below the surface", ThicknessMap::create),
    /** Identifiers of parts. */
    IDS("Parts", "a flat colour for each part of the high poly, to select by", rays -> IdMap.create()),
    /** Opacity. */
    OPACITY("Opacity", "where the high poly lets light through", rays -> OpacityMap.create());

    private final String title;
    private final String about;
    @SuppressWarnings("ImmutableEnumChecker") // references to factories, without state
    private final IntFunction<SurfaceMap> maker;

    MapChoice(String title, String about, IntFunction<SurfaceMap> maker) {
        this.title = title;
        this.about = about;
        this.maker = maker;
    }

    /** Returns the name for people. */
    public String title() {
        return title;
    }

    /** Returns what it shows, in a few words. */
    public String about() {
        return about;
    }

    /**
     * Returns the map for a job.
     *
     * @param rays how many rays a texel gets, of maps that look all around
     */
    public SurfaceMap map(int rays) {
        return maker.apply(rays);
    }
}
