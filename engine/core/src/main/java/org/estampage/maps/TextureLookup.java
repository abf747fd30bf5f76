package org.estampage.maps;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.HashMap;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.Set;
import java.util.TreeSet;
import org.estampage.bake.BakeJob;
import org.estampage.bake.Preparation;
import org.estampage.bake.SurfaceHits;
import org.estampage.finding.Finding;
import org.estampage.finding.Place;
import org.estampage.image.FloatImage;
import org.estampage.image.RepeatedImage;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Labels;
import org.estampage.mesh.Mesh;
import org.estampage.raster.UvTile;
import org.jspecify.annotations.Nullable;

/**
 * Looks textures up where a job's samples hit its high polys, through the first UV set, repeated beyond 0 … 1 or by UDIM tile.
 *
 * <p>A sample stands for a small square of the low poly. How many texels of the texture lie under it, by the areas of the two triangles in space and in
 * their UVs, says how far down the mips the lookup goes: where there is more than one, none is passed over; where there is less, it is bilinear in the
 * texture itself. Areas are blind to a texture that is squeezed one way only: it is then a little too sharp along the one and too soft along the other.
 *
 * @threads immutable
 */
final class TextureLookup {
    private static final int NONE = -1;

    private final List<Mesh> highs;
    private final List<RepeatedImage> images = new ArrayList<>();
    /** For each mesh and material what it wears. */
    private final Worn[][] ofMaterial;
    /** For each mesh that of triangles without a material that has its own. */
    private final Worn[] ofRest;
    /** The area, in mesh units, that a sample stands for on each triangle of the low poly. */
    private final double[] areas;
    private final List<Finding> findings = new ArrayList<>();

    /** What the levels of an image hang on. */
    private record Key(FloatImage image) {
    }

    /**
     * What a material wears, by numbers of images.
     *
     * @param ofTile   by the numbers of tiles
     * @param anywhere on all other tiles, or {@link #NONE}
     */
    private record Worn(Map<Integer, Integer> ofTile, int anywhere) {
        static final Worn NOTHING = new Worn(Map.of(), NONE);

        boolean isNothing() {
            return ofTile.isEmpty() && anywhere == NONE;
        }

        /** Returns this with what another one wears where this one wears nothing. */
        Worn over(Worn other) {
            if (anywhere != NONE) {
                return this;
            }
            Map<Integer, Integer> both = new HashMap<>(other.ofTile);
            both.putAll(ofTile);
            return new Worn(both, other.anywhere);
        }
    }

    /**
     * Gets textures ready.
     *
     * @param map what the map is called in messages
     * @throws IllegalArgumentException if a texture is for a material that no high poly has
     */
    TextureLookup(String map, Textures given, Preparation preparation) {
        highs = preparation.highs();
        areas = given.isEmpty() ? new double[0] : sampleAreas(preparation.job());
        TreeSet<String> known = new TreeSet<>();
        ofMaterial = new Worn[highs.size()][];
        ofRest = new Worn[highs.size()];
        List<Place> bare = new ArrayList<>();
        Map<Textures.Place, Integer> numbers = new LinkedHashMap<>();
        given.images().forEach((place, image) -> {
            numbers.put(place, images.size());
            images.add(preparation.once(new Key(image), RepeatedImage.class, () -> RepeatedImage.of(image, preparation.task())));
        });
        Worn rest = worn(null, numbers);
        for (int m = 0; m < ofRest.length; m++) {
            Mesh high = highs.get(m);
            List<String> names = high.materialLabels().map(Labels::names).orElse(List.of());
            known.addAll(names);
            ofRest[m] = rest;
            ofMaterial[m] = names.stream().map(name -> worn(name, numbers).over(rest)).toArray(Worn[]::new);
            if (high.uvSets().isEmpty()) {
                if (covers(m)) {
                    bare.add(new Place.Element("high poly", m));
                }
                ofRest[m] = Worn.NOTHING;
                Arrays.fill(ofMaterial[m], Worn.NOTHING);
            }
        }
        checkNames(map, given, known);
        if (!bare.isEmpty()) {
            findings.add(Finding.warning("texture-without-uvs", bare.size(),
                    map + ": " + bare.size() + " high polys that a texture is for have no UVs; it is left out there",
                    "load a file that has them", bare));
        }
    }

    private static Worn worn(@Nullable String material, Map<Textures.Place, Integer> numbers) {
        Map<Integer, Integer> ofTile = new HashMap<>(); // asked for what it has, never walked through
        numbers.forEach((place, number) -> {
            if (place.tile() != null && Objects.equals(place.material(), material)) {
                ofTile.put(place.tile().number(), number);
            }
        });
        return new Worn(ofTile, numbers.getOrDefault(new Textures.Place(material, null), NONE));
    }

    private static void checkNames(String map, Textures given, Set<String> known) {
        for (Textures.Place place : given.images().keySet()) {
            if (place.material() != null && !known.contains(place.material())) {
                throw new IllegalArgumentException(map + ": no high poly has a material called \"" + place.material() + "\"; "
                        + (known.isEmpty() ? "they have none: give a texture for all" : "there are " + String.join(", ", known)));
            }
        }
    }

    private static double[] sampleAreas(BakeJob job) {
        Mesh low = job.low();
        double samples = (double) job.width() * job.height() * job.samplesPerSide() * job.samplesPerSide();
        double[] areas = new double[low.triangleCount()];
        for (int t = 0; t < areas.length; t++) {
            areas[t] = area(low, t) / (uvArea(low.uvSets().get(0), t) * samples);
        }
        return areas;
    }

    private static double area(Mesh mesh, int t) {
        float[] p = mesh.positions();
        int[] corners = mesh.positionIndices();
        int a = 3 * corners[3 * t], b = 3 * corners[3 * t + 1], c = 3 * corners[3 * t + 2];
        double ux = (double) p[b] - p[a], uy = (double) p[b + 1] - p[a + 1], uz = (double) p[b + 2] - p[a + 2];
        double vx = (double) p[c] - p[a], vy = (double) p[c + 1] - p[a + 1], vz = (double) p[c + 2] - p[a + 2];
        double x = uy * vz - uz * vy, y = uz * vx - ux * vz, z = ux * vy - uy * vx;
        return Math.sqrt(x * x + y * y + z * z) / 2;
    }

    private static double uvArea(Attribute uvs, int t) {
        float[] uv = uvs.values();
        int a = 2 * uvs.indices()[3 * t], b = 2 * uvs.indices()[3 * t + 1], c = 2 * uvs.indices()[3 * t + 2];
        return Math.abs(((double) uv[b] - uv[a]) * ((double) uv[c + 1] - uv[a + 1])
                - ((double) uv[c] - uv[a]) * ((double) uv[b + 1] - uv[a + 1])) / 2;
    }

    List<Finding> findings() {
        return List.copyOf(findings);
    }

    /** Returns whether a high poly has a texture anywhere. */
    boolean covers(int mesh) {
        return !ofRest[mesh].isNothing() || Arrays.stream(ofMaterial[mesh]).anyMatch(worn -> !worn.isNothing());
    }

    /**
     * Looks up the texture at a sample.
     *
     * @param dest takes its channels; room for four
     * @return how many channels it has; 0 where there is none
     */
    int read(SurfaceHits hits, int s, float[] dest) {
        int m = hits.highMeshes[s], t = hits.highTriangles[s];
        Worn worn = wornBy(m, t);
        if (worn.isNothing()) {
            return 0;
        }
        Mesh high = highs.get(m);
        Attribute uvs = high.uvSets().get(0);
        float[] uv = uvs.values();
        int a = 2 * uvs.indices()[3 * t], b = 2 * uvs.indices()[3 * t + 1], c = 2 * uvs.indices()[3 * t + 2];
        double b1 = hits.highB1[s], b2 = hits.highB2[s], b0 = 1 - b1 - b2;
        double u = b0 * uv[a] + b1 * uv[b] + b2 * uv[c], v = b0 * uv[a + 1] + b1 * uv[b + 1] + b2 * uv[c + 1];
        int own = worn.ofTile.isEmpty() ? NONE : worn.ofTile.getOrDefault(tileOf(uv, a, b, c), NONE);
        int number = own == NONE ? worn.anywhere : own;
        if (number == NONE) {
            return 0;
        }
        RepeatedImage image = images.get(number);
        double density = uvArea(uvs, t) * image.image().width() * image.image().height() / area(high, t);
        // A level has half as many texels a side as the one before, a quarter in all.
        double level = StrictMath.log(areas[hits.lowTriangles[s]] * density) / StrictMath.log(4);
        if (own == NONE) {
            image.lookUp(u, v, level, dest, 0);
        } else {
            image.lookUpWithin(u - column(uv, a, b, c), v - row(uv, a, b, c), level, dest, 0);
        }
        return image.image().channels();
    }

    private Worn wornBy(int m, int t) {
        int material = highs.get(m).materialLabels().map(labels -> labels.of(t)).orElse(NONE);
        return material < 0 ? ofRest[m] : ofMaterial[m][material];
    }

    // A triangle lies on the tile of its middle, as where it is baked: a corner at exactly 1 may be the end of one tile or the start of the next.

    private static int tileOf(float[] uv, int a, int b, int c) {
        double column = column(uv, a, b, c), row = row(uv, a, b, c);
        return column >= 0 && column < UvTile.COLUMNS && row >= 0 && row < UvTile.ROWS
                ? new UvTile((int) column, (int) row).number()
                : NONE;
    }

    private static double column(float[] uv, int a, int b, int c) {
        return Math.floor(((double) uv[a] + uv[b] + uv[c]) / 3);
    }

    private static double row(float[] uv, int a, int b, int c) {
        return column(uv, a + 1, b + 1, c + 1);
    }
}
