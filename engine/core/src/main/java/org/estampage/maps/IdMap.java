package org.estampage.maps;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import org.estampage.bake.BakeJob;
import org.estampage.bake.HemisphereAnswers;
import org.estampage.bake.MapFormat;
import org.estampage.bake.RangeRule;
import org.estampage.bake.Reduction;
import org.estampage.bake.SurfaceHits;
import org.estampage.bake.SurfaceMap;
import org.estampage.finding.Finding;
import org.estampage.finding.Place;
import org.estampage.finding.Tally;
import org.estampage.image.Encoding;
import org.estampage.image.Palette;
import org.estampage.image.Range;
import org.estampage.internal.kernel.DisjointSets;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Labels;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.Welding;
import org.estampage.task.Task;

/**
 * Flat colours that say which part, material, connected piece or painted colour of the high poly was hit, for selecting and masking.
 *
 * <p>Parts, materials and pieces take the colours of {@link Palette} in the order in which the high polys have them, so that they keep theirs from bake to
 * bake as long as new ones come last. Details tell which colour is which. Painted colours are the vertices' own. A texel has one colour of its samples,
 * never a mixture, and padding takes the nearest.
 *
 * @units k/255, which files of 8 and 16 bits hold exactly, without any curve; black where there is nothing to tell
 * @threads immutable
 */
public final class IdMap implements SurfaceMap {
    /** What is told apart. */
    private enum By {
        PART, MATERIAL, COLOUR, PIECE
    }

    private static final int NONE = -1;
    /** Vertices at the same place, sets that hang together, and the numbers of these. */
    private static final int VERTEX_BYTES = 20;

    private final By by;

    private IdMap(By by) {
        this.by = by;
    }

    /** Returns the map of the high polys' parts. */
    public static IdMap create() {
        return new IdMap(By.PART);
    }

    /** Returns the map of parts, {@code ids}: each part of each high poly is one. */
    public IdMap parts() {
        return new IdMap(By.PART);
    }

    /** Returns the map of materials, {@code ids-materials}: those of one name are one, whichever high poly has them. */
    public IdMap materials() {
        return new IdMap(By.MATERIAL);
    }

    /**
     * Returns the map of painted colours, {@code ids-colours}: the first colour set as stored, to the nearest k/255, of the nearest corner of the triangle,
     * without its alpha.
     */
    public IdMap colours() {
        return new IdMap(By.COLOUR);
    }

    /** Returns the map of pieces, {@code ids-pieces}: triangles that hang together over vertices at the same place. */
    public IdMap pieces() {
        return new IdMap(By.PIECE);
    }

    /** Returns the console's call that makes this map. */
    @Override
    public String toString() {
        return MapCall.of("ids").option(by != By.PART, by.name().toLowerCase(Locale.ROOT) + "s").toString();
    }

    @Override
    public Optional<String> recipe() {
        return Optional.of(toString());
    }

    @Override
    public String name() {
        return switch (by) {
            case PART -> "ids";
            case MATERIAL -> "ids-materials";
            case COLOUR -> "ids-colours";
            case PIECE -> "ids-pieces";
        };
    }

    /** A number a triangle; three floats a painted colour. */
    @Override
    public long readyBytes(BakeJob job) {
        long numbers = 0;
        for (Mesh high : job.highs()) {
            numbers += by != By.COLOUR ? high.triangleCount() : high.colourSets().isEmpty() ? 0 : 3L * high.colourSets().get(0).count();
        }
        return Integer.BYTES * numbers;
    }

    /** Pieces are found by a few numbers a vertex of one mesh at a time. */
    @Override
    public long preparingBytes(BakeJob job) {
        long vertices = by == By.PIECE ? job.highs().stream().mapToLong(Mesh::vertexCount).max().orElse(0) : 0;
        return readyBytes(job) + VERTEX_BYTES * vertices;
    }

    @Override
    public SurfaceMap prepared(List<Mesh> highs, Task task) {
        if (by == By.COLOUR) {
            return new Painted(this, highs);
        }
        Numbers numbers = new Numbers(highs);
        for (int m = 0; m < highs.size(); m++) {
            task.check();
            switch (by) {
                case PART -> numbers.addParts(m);
                case MATERIAL -> numbers.addMaterials(m);
                default -> numbers.addPieces(m);
            }
        }
        return new Flat(this, numbers);
    }

    @Override
    public MapFormat format() {
        return new MapFormat(Encoding.Kind.ID, new RangeRule.Fixed(List.of(Range.UNIT, Range.UNIT, Range.UNIT)), List.of(0f, 0f, 0f), 8,
                true);
    }

    @Override
    public Reduction reduction() {
        return Reduction.MAJORITY;
    }

    @Override
    public void evaluate(SurfaceHits hits, HemisphereAnswers answers, float[] dest) {
        throw new IllegalStateException(name() + " must be made ready for the high polys first: prepared(…)");
    }

    /** Which triangle of which mesh has which number, and what the numbers are called. */
    private static final class Numbers {
        final List<Mesh> highs;
        final int[][] ofTriangle;
        final List<String> names = new ArrayList<>();
        private final Map<String, Integer> byName = new LinkedHashMap<>();

        Numbers(List<Mesh> highs) {
            this.highs = highs;
            ofTriangle = new int[highs.size()][];
        }

        void addParts(int m) {
            int first = names.size();
            highs.get(m).parts().forEach(part -> names.add(part.name()));
            number(m, highs.get(m).partLabels(), first);
        }

        void addMaterials(int m) {
            Mesh high = highs.get(m);
            Optional<Labels> labels = high.materialLabels();
            int[] numbers = new int[labels.map(l -> l.names().size()).orElse(0)];
            for (int i = 0; i < numbers.length; i++) {
                String name = labels.orElseThrow().names().get(i);
                numbers[i] = byName.computeIfAbsent(name, n -> {
                    names.add(n);
                    return names.size() - 1;
                });
            }
            int[] of = new int[high.triangleCount()];
            for (int t = 0; t < of.length; t++) {
                int label = labels.isEmpty() ? NONE : labels.get().of(t);
                of[t] = label < 0 ? NONE : numbers[label];
            }
            ofTriangle[m] = of;
        }

        void addPieces(int m) {
            Mesh high = highs.get(m);
            int[] canonical = Welding.canonicalVertices(high);
            int[] corners = high.positionIndices();
            DisjointSets sets = new DisjointSets(high.vertexCount());
            for (int c = 0; c < corners.length; c += 3) {
                sets.join(canonical[corners[c]], canonical[corners[c + 1]]);
                sets.join(canonical[corners[c]], canonical[corners[c + 2]]);
            }
            int[] numberOfSet = new int[high.vertexCount()];
            Arrays.fill(numberOfSet, NONE);
            int[] of = new int[high.triangleCount()];
            for (int t = 0; t < of.length; t++) {
                int set = sets.find(canonical[corners[3 * t]]);
                if (numberOfSet[set] == NONE) {
                    numberOfSet[set] = names.size();
                    names.add("piece " + (names.size() + 1));
                }
                of[t] = numberOfSet[set];
            }
            ofTriangle[m] = of;
        }

        private void number(int m, Labels labels, int first) {
            int[] of = new int[highs.get(m).triangleCount()];
            for (int t = 0; t < of.length; t++) {
                int label = labels.of(t);
                of[t] = label < 0 ? NONE : first + label;
            }
            ofTriangle[m] = of;
        }
    }

    /** The map of numbered things of a job's high polys. */
    private static final class Flat extends ReadyMap {
        private final IdMap map;
        private final int[][] ofTriangle;
        private final List<String> names;

        Flat(IdMap map, Numbers numbers) {
            super(map);
            this.map = map;
            ofTriangle = numbers.ofTriangle;
            names = numbers.names;
            int size = Palette.even().size();
            if (names.size() > size) {
                notice(Finding.warning("ids-repeat", names.size() - size,
                        map.name() + ": there are " + names.size() + " to tell apart and " + size
                                + " colours, so that the first colours stand for several",
                        "bake fewer high polys at a time, or tell apart by something coarser", List.of()));
            }
            Tally nameless = new Tally();
            for (int[] of : ofTriangle) {
                for (int t = 0; t < of.length; t++) {
                    if (of[t] == NONE) {
                        nameless.add(new Place.Element("triangle", t));
                    }
                }
            }
            if (!nameless.isEmpty()) {
                String what = map.by == By.PART ? "part" : "material";
                notice(Finding.warning("ids-missing", nameless.count(),
                        map.name() + ": " + nameless.count() + " triangles of the high polys have no " + what + "; they are black",
                        "give them a " + what + " in the file, or tell apart by pieces()", nameless.places()));
            }
        }

        @Override
        public Map<String, String> details() {
            StringBuilder legend = new StringBuilder();
            for (int i = 0; i < Math.min(names.size(), Palette.even().size()); i++) {
                legend.append(i == 0 ? "" : "\n").append(String.format(Locale.ROOT, "#%06x ", Palette.even().rgb(i))).append(names.get(i));
            }
            Map<String, String> details = new LinkedHashMap<>();
            details.put("Ids", map.by.name().toLowerCase(Locale.ROOT));
            if (!legend.isEmpty()) {
                details.put("Legend", legend.toString());
            }
            return details;
        }

        @Override
        public void evaluate(SurfaceHits hits, HemisphereAnswers answers, float[] dest) {
            Palette palette = Palette.even();
            for (int s = 0; s < hits.size(); s++) {
                int number = ofTriangle[hits.highMeshes[s]][hits.highTriangles[s]];
                int rgb = number == NONE ? 0 : palette.rgb(number % palette.size());
                dest[3 * s] = (rgb >> 16) / 255f;
                dest[3 * s + 1] = ((rgb >> 8) & 255) / 255f;
                dest[3 * s + 2] = (rgb & 255) / 255f;
            }
        }
    }

    /** The map of the colours that a job's high polys are painted with. */
    private static final class Painted extends ReadyMap {
        private final float[][] values;
        private final int[][] indices;

        Painted(IdMap map, List<Mesh> highs) {
            super(map);
            values = new float[highs.size()][];
            indices = new int[highs.size()][];
            long bare = 0;
            List<Place> places = new ArrayList<>();
            for (int m = 0; m < values.length; m++) {
                Mesh high = highs.get(m);
                if (high.colourSets().isEmpty()) {
                    values[m] = new float[3];
                    indices[m] = new int[high.positionIndices().length];
                    bare++;
                    places.add(new Place.Element("high poly", m));
                } else {
                    Attribute colours = high.colourSets().get(0);
                    values[m] = rounded(colours);
                    indices[m] = colours.indices();
                }
            }
            if (bare > 0) {
                notice(Finding.warning("ids-missing", bare,
                        map.name() + ": " + bare + " high polys have no vertex colours; they are black",
                        "paint their vertices, or tell apart by parts(), materials() or pieces()", places));
            }
        }

        /** Returns the first three components of colours, each the nearest k/255. */
        private static float[] rounded(Attribute colours) {
            float[] out = new float[3 * colours.count()];
            for (int i = 0; i < out.length; i++) {
                float v = colours.values()[i / 3 * colours.components() + i % 3];
                // What is not a number becomes 0, as in files.
                out[i] = Math.round(255f * Math.min(1f, Math.max(0f, v))) / 255f;
            }
            return out;
        }

        @Override
        public Map<String, String> details() {
            return Map.of("Ids", "colour of the vertices, as stored");
        }

        @Override
        public void evaluate(SurfaceHits hits, HemisphereAnswers answers, float[] dest) {
            for (int s = 0; s < hits.size(); s++) {
                float b1 = hits.highB1[s], b2 = hits.highB2[s], b0 = 1f - b1 - b2;
                int corner = b0 >= b1 && b0 >= b2 ? 0 : b1 >= b2 ? 1 : 2;
                int m = hits.highMeshes[s];
                System.arraycopy(values[m], 3 * indices[m][3 * hits.highTriangles[s] + corner], dest, 3 * s, 3);
            }
        }
    }
}
