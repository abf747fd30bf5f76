package org.estampage.examples.server;

import com.fasterxml.jackson.databind.JsonNode;
import java.util.Arrays;
import java.util.List;
import org.estampage.bake.SurfaceMap;
import org.estampage.maps.BentNormalMap;
import org.estampage.maps.ColourMap;
import org.estampage.maps.CoverageMap;
import org.estampage.maps.CurvatureMap;
import org.estampage.maps.HeightMap;
import org.estampage.maps.IdMap;
import org.estampage.maps.NormalMap;
import org.estampage.maps.ObjectNormalMap;
import org.estampage.maps.OcclusionMap;
import org.estampage.maps.OpacityMap;
import org.estampage.maps.PositionMap;
import org.estampage.maps.ThicknessMap;

/** The maps that clients can ask for: by name, or as an object with the name and what it takes, such as {@code {"map": "occlusion", "rays": 64}}. */
enum MapChoice {
    NORMAL(false), OBJECT_NORMAL(false), HEIGHT(false), POSITION(false), CURVATURE(false), COVERAGE(false), COLOUR(false), IDS(
            false), OPACITY(false), OCCLUSION(true), BENT_NORMAL(true), THICKNESS(true);

    private static final int USUAL_RAYS = 64;

    private final boolean takesRays;

    MapChoice(boolean takesRays) {
        this.takesRays = takesRays;
    }

    private SurfaceMap make(int rays) {
        return switch (this) {
            case NORMAL -> NormalMap.create();
            case OBJECT_NORMAL -> ObjectNormalMap.create();
            case HEIGHT -> HeightMap.create();
            case POSITION -> PositionMap.create();
            case CURVATURE -> CurvatureMap.create();
            case COVERAGE -> CoverageMap.create();
            case COLOUR -> ColourMap.create();
            case IDS -> IdMap.create();
            case OPACITY -> OpacityMap.create();
            case OCCLUSION -> OcclusionMap.create(rays);
            case BENT_NORMAL -> BentNormalMap.create(rays);
            case THICKNESS -> ThicknessMap.create(rays);
        };
    }

    /** Returns the map's name, as the engine has it. */
    private String map() {
        return make(USUAL_RAYS).name();
    }

    /** Returns all names. */
    static String names() {
        return String.join(", ", Arrays.stream(values()).map(MapChoice::map).toList());
    }

    /**
     * Returns the map that a value names.
     *
     * @param where the value's JSON pointer
     * @throws ProblemException if it names none, or with an option that the map does not take
     */
    static SurfaceMap read(JsonNode node, String where) throws ProblemException {
        JsonNode named = node.isObject() ? node.path("map") : node;
        MapChoice choice = Arrays.stream(values()).filter(each -> named.isTextual() && each.map().equals(named.textValue())).findFirst()
                .orElseThrow(() -> new ProblemException(
                        Problem.notUsable(where, Description.shown(node) + " names no map", "the maps are " + names())));
        List<String> options = choice.takesRays ? List.of("map", "rays") : List.of("map");
        for (String field : (Iterable<String>) node::fieldNames) {
            if (!options.contains(field)) {
                throw new ProblemException(Problem.notUsable(where, choice.map() + " takes no \"" + field + "\"",
                        choice.takesRays ? "it takes rays, the rays a texel" : "give its name alone"));
            }
        }
        JsonNode rays = node.path("rays");
        if (!rays.isMissingNode() && !(rays.isIntegralNumber() && rays.canConvertToInt())) {
            throw new ProblemException(
                    Problem.notUsable(where + "/rays", Description.shown(rays) + " is no whole number",
                            "send the rays a texel, such as 64"));
        }
        try {
            return choice.make(rays.asInt(USUAL_RAYS));
        } catch (IllegalArgumentException e) {
            throw new ProblemException(Problem.notUsable(where + "/rays", String.valueOf(e.getMessage()), "send a number in that range"),
                    e);
        }
    }
}
