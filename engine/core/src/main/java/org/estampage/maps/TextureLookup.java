package org.estampage.maps;

import java.util.ArrayList;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.TreeSet;
import org.estampage.bake.BakeJob;
import org.estampage.bake.SurfaceHits;
import org.estampage.finding.Finding;
import org.estampage.finding.Place;
import org.estampage.image.FloatImage;
import org.estampage.image.RepeatedImage;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Labels;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;

/**
 * Looks textures up where a job's samples hit its high polys, through the first UV set, repeated beyond 0 … 1.
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
    private final List<RepeatedImage> textures = new ArrayList<>();
    /** For each mesh and material the number of its texture. */
    private final int[][] ofMaterial;
    /** For each mesh that of triangles without a material that has its own. */
    private final int[] ofRest;
    /** The area, in mesh units, that a sample stands for on each triangle of the low poly. */
    private final double[] areas;
    private final List<Finding> findings = new ArrayList<>();

    /**
     * Gets textures ready.
     *
     * @param map what the map is called in messages
     * @throws IllegalArgumentException if a texture is for a material that no high poly has
     */
    TextureLookup(String map, Textures given, BakeJob job, List<Mesh> highs, Task task) {
        this.highs = highs;
        areas = given.isEmpty() ? new double[0] : sampleAreas(job);
        Map<FloatImage, Integer> numbers = new HashMap<>(); // asked for what it has, never walked through
        int rest = given.all() == null ? NONE : number(given.all(), numbers, task);
        TreeSet<String> known = new TreeSet<>();
        ofMaterial = new int[highs.size()][];
        ofRest = new int[highs.size()];
        List<Place> bare = new ArrayList<>();
        for (int m = 0; m < ofRest.length; m++) {
            Mesh high = highs.get(m);
            boolean hasUvs = !high.uvSets().isEmpty();
            List<String> names = high.materialLabels().map(Labels::names).orElse(List.of());
            known.addAll(names);
            ofRest[m] = hasUvs ? rest : NONE;
            ofMaterial[m] = new int[names.size()];
            for (int i = 0; i < names.size(); i++) {
                FloatImage own = given.ofMaterial().get(names.get(i));
                ofMaterial[m][i] = !hasUvs ? NONE : own == null ? rest : number(own, numbers, task);
            }
            if (!hasUvs && (rest != NONE || names.stream().anyMatch(given.ofMaterial()::containsKey))) {
                bare.add(new Place.Element("high poly", m));
            }
        }
        for (String material : given.ofMaterial().keySet()) {
            if (!known.contains(material)) {
                throw new IllegalArgumentException(map + ": no high poly has a material called \"" + material + "\"; "
                        + (known.isEmpty() ? "they have none: give a texture for all" : "there are " + String.join(", ", known)));
            }
        }
        if (!bare.isEmpty()) {
            findings.add(Finding.warning("texture-without-uvs", bare.size(),
                    map + ": " + bare.size() + " high polys that a texture is for have no UVs; it is left out there",
                    "load a file that has them", bare));
        }
    }

    private int number(FloatImage image, Map<FloatImage, Integer> inoutNumbers, Task task) {
        return inoutNumbers.computeIfAbsent(image, i -> {
            textures.add(RepeatedImage.of(i, task));
            return textures.size() - 1;
        });
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
        return ofRest[mesh] != NONE || java.util.Arrays.stream(ofMaterial[mesh]).anyMatch(texture -> texture != NONE);
    }

    /**
     * Looks up the texture at a sample.
     *
     * @param dest takes its channels; room for four
     * @return how many channels it has; 0 where there is none
     */
    int read(SurfaceHits hits, int s, float[] dest) {
        int m = hits.highMeshes[s], t = hits.highTriangles[s];
        int texture = textureOf(m, t);
        if (texture == NONE) {
            return 0;
        }
        RepeatedImage image = textures.get(texture);
        Mesh high = highs.get(m);
        Attribute uvs = high.uvSets().get(0);
        float[] uv = uvs.values();
        int a = 2 * uvs.indices()[3 * t], b = 2 * uvs.indices()[3 * t + 1], c = 2 * uvs.indices()[3 * t + 2];
        double b1 = hits.highB1[s], b2 = hits.highB2[s], b0 = 1 - b1 - b2;
        double density = uvArea(uvs, t) * image.image().width() * image.image().height() / area(high, t);
        // A level has half as many texels a side as the one before, a quarter in all.
        double level = StrictMath.log(areas[hits.lowTriangles[s]] * density) / StrictMath.log(4);
        image.lookUp(b0 * uv[a] + b1 * uv[b] + b2 * uv[c], b0 * uv[a + 1] + b1 * uv[b + 1] + b2 * uv[c + 1], level, dest, 0);
        return image.image().channels();
    }

    private int textureOf(int m, int t) {
        int material = highs.get(m).materialLabels().map(labels -> labels.of(t)).orElse(NONE);
        return material < 0 ? ofRest[m] : ofMaterial[m][material];
    }
}
