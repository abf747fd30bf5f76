package org.estampage.bake;

import static org.assertj.core.api.Assertions.assertThat;

import com.tngtech.archunit.core.domain.JavaClass;
import com.tngtech.archunit.core.domain.JavaModifier;
import com.tngtech.archunit.core.importer.ClassFileImporter;
import java.util.List;
import java.util.Set;
import java.util.stream.Collectors;
import org.estampage.bvh.HemisphereQuery;
import org.estampage.cage.Cage;
import org.estampage.image.FloatImage;
import org.estampage.maps.BentNormalMap;
import org.estampage.maps.ColourMap;
import org.estampage.maps.CoverageMap;
import org.estampage.maps.CurvatureMap;
import org.estampage.maps.CustomMap;
import org.estampage.maps.EffortMap;
import org.estampage.maps.HeightMap;
import org.estampage.maps.IdMap;
import org.estampage.maps.NormalMap;
import org.estampage.maps.ObjectNormalMap;
import org.estampage.maps.OcclusionMap;
import org.estampage.maps.OpacityMap;
import org.estampage.maps.PositionMap;
import org.estampage.maps.ThicknessMap;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;
import org.junit.jupiter.api.Test;

/** What holds for every map there is. A new map is one class, and an instance of it here. */
class MapContractTest {
    private static final int SIZE = 32;

    private static List<SurfaceMap> maps() {
        HemisphereQuery query = new HemisphereQuery(HemisphereQuery.Distribution.COSINE, 16, Float.POSITIVE_INFINITY);
        OcclusionMap adaptive = OcclusionMap.create(64).error(1 / 32.0);
        return List.of(NormalMap.create(), ObjectNormalMap.create(), HeightMap.create(), OcclusionMap.create(16),
                BentNormalMap.create(16), ThicknessMap.create(16), CurvatureMap.create(), PositionMap.create(), CoverageMap.create(),
                EffortMap.rays(adaptive), IdMap.create(), IdMap.create().materials(), IdMap.create().colours(), IdMap.create().pieces(),
                ColourMap.create(), OpacityMap.create(), CustomMap.of("mine", 2, (in, out) -> {
                    out[0] = in.openness(0);
                    out[1] = in.lowBarycentric(0) * in.position(1);
                }).queries(query));
    }

    private static BakeResult bake(List<SurfaceMap> maps, Baker baker) {
        Mesh low = Patches.grid(3, 0.07, (x, z) -> 0.1 * x * z);
        Mesh high = Patches.grid(24, 0.02, (x, z) -> 0.1 * x * z + 0.05 * Math.cos(5 * x) * Math.cos(4 * z));
        float[] colours = new float[4 * high.vertexCount()];
        for (int i = 0; i < colours.length; i++) {
            colours[i] = i * 37 % 101 / 100f;
        }
        Mesh painted = high.toBuilder().colourSet(new Attribute("paint", 4, colours, high.positionIndices())).build();
        return baker.bake(BakeJob.of(Cage.offset(low, 0.3), painted).size(SIZE).maps(maps.toArray(SurfaceMap[]::new)).build(),
                Task.silent());
    }

    @Test
    void list_hasEveryMapThatThereIs() {
        Set<String> there = new ClassFileImporter().importPackages("org.estampage.maps").stream()
                .filter(c -> c.isAssignableTo(SurfaceMap.class) && c.getModifiers().contains(JavaModifier.PUBLIC)
                        && !c.getModifiers().contains(JavaModifier.ABSTRACT))
                .map(JavaClass::getName).collect(Collectors.toSet());
        assertThat(maps().stream().map(map -> map.getClass().getName()).collect(Collectors.toSet())).containsAll(there);
        assertThat(there).hasSizeGreaterThan(10);
    }

    @Test
    void namesAndFormats_areInOrder() {
        for (SurfaceMap map : maps()) {
            assertThat(map.name()).matches("[a-z0-9]+(-[a-z0-9]+)*");
            MapFormat format = map.format();
            assertThat(format.channels()).isBetween(1, 4);
            assertThat(format.background()).allMatch(Float::isFinite);
            assertThat(map.queries()).doesNotContainNull();
            assertThat(map.toString()).as("the console's call that makes it").matches("[a-z][A-Za-z]*\\(.*\\)");
        }
    }

    @Test
    void everyTexel_isFinite_andItsBitsDependOnNeitherThreadsNorBlocks() {
        BakeResult one = bake(maps(), Baker.create().threads(1));
        BakeResult two = bake(maps(), Baker.create().threads(2).blockSide(7));
        for (SurfaceMap map : maps()) {
            FloatImage a = one.map(map.name()), b = two.map(map.name());
            int different = 0;
            for (int y = 0; y < SIZE; y++) {
                for (int x = 0; x < SIZE; x++) {
                    for (int c = 0; c < a.channels(); c++) {
                        assertThat(a.get(x, y, c)).as(map.name()).isFinite();
                        assertThat(b.get(x, y, c)).as(map.name()).isEqualTo(a.get(x, y, c));
                        different += a.get(x, y, c) == a.get(SIZE / 2, SIZE / 2, c) ? 0 : 1;
                    }
                }
            }
            boolean flat = Set.of("ids", "ids-materials", "ids-pieces").contains(map.name());
            assertThat(different > 0).as(map.name() + " has more than one value").isNotEqualTo(flat);
            assertThat(b.encoding()).as(map.name()).isEqualTo(a.encoding());
        }
    }

    @Test
    void evaluate_fillsEveryValue_andNoOther() {
        for (SurfaceMap map : maps()) {
            SurfaceMap watched = new Watched(map);
            bake(List.of(watched), Baker.create().threads(1));
        }
    }

    /** A map that is given marks to write over. */
    private record Watched(SurfaceMap map) implements SurfaceMap {
        private static final float MARK = -123456.75f;

        @Override
        public String name() {
            return map.name();
        }

        @Override
        public SurfaceMap prepared(Preparation preparation) {
            return new Watched(map.prepared(preparation));
        }

        @Override
        public MapFormat format() {
            return map.format();
        }

        @Override
        public List<HemisphereQuery> queries() {
            return map.queries();
        }

        @Override
        public Reduction reduction() {
            return map.reduction();
        }

        @Override
        public void evaluate(SurfaceHits hits, HemisphereAnswers answers, float[] dest) {
            java.util.Arrays.fill(dest, MARK);
            map.evaluate(hits, answers, dest);
            int used = hits.size() * format().channels();
            for (int i = 0; i < dest.length; i++) {
                assertThat(dest[i] == MARK).as(name() + ", value " + i + " of " + used).isEqualTo(i >= used);
            }
        }
    }
}
