package org.estampage.session;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import java.lang.reflect.InvocationTargetException;
import java.lang.reflect.Method;
import java.lang.reflect.Modifier;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.function.Supplier;
import java.util.stream.Stream;
import org.estampage.bake.SurfaceMap;
import org.estampage.bake.BakeJob;
import org.estampage.bake.BakeResult;
import org.estampage.bake.Baker;
import org.estampage.image.ImageSource;
import org.estampage.material.LayerMaterial;
import org.estampage.material.Layers;
import org.estampage.mesh.MeshSource;
import org.estampage.preview.Compare;
import org.estampage.preview.Dressing;
import org.estampage.preview.Preview;
import org.estampage.bvh.Bvh;
import org.estampage.cage.CageFit;
import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.image.Range;
import org.estampage.lowpoly.Decimate;
import org.estampage.lowpoly.HiddenParts;
import org.estampage.lowpoly.Lathe;
import org.estampage.lowpoly.LatheEnd;
import org.estampage.lowpoly.Lods;
import org.estampage.lowpoly.ScanLowPoly;
import org.estampage.maps.BentNormalMap;
import org.estampage.maps.ColourMap;
import org.estampage.maps.CurvatureMap;
import org.estampage.maps.EffortMap;
import org.estampage.maps.HeightMap;
import org.estampage.maps.IdMap;
import org.estampage.maps.NormalMap;
import org.estampage.maps.OcclusionMap;
import org.estampage.maps.PositionMap;
import org.estampage.maps.ThicknessMap;
import org.estampage.mesh.Axis;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Cleanup;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.Part;
import org.estampage.task.Progress;
import org.estampage.task.Task;
import org.estampage.uv.Atlas;
import org.estampage.uv.Repack;
import org.estampage.uv.Unwrap;
import org.joml.Vector3f;
import org.junit.jupiter.api.DynamicTest;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.TestFactory;

class FingerprintTest {
    private static final Mesh MESH = Meshes.waves(2);
    private static final Mesh OTHER = Meshes.waves(3);

    /** What reaches no value, by name: a listener, a ray tracer that is lent, executors and threads. */
    private static final Set<String> WITHOUT_EFFECT = Set.of("task", "tracer", "tracers");

    /** What is so without being asked for. */
    private static final Set<String> DEFAULTS = Set.of("IdMap.parts", "Lathe.capped", "Lathe.outermost");

    private static final FloatImage NORMALS = FloatImage.create(2, 2, Encoding.normal());
    private static final LayerMaterial IRON = LayerMaterial.even(0.2, 0.2, 0.2, 0.5, 1);

    private static BakeResult baked() {
        return Baker.create().threads(1).bake(BakeJob.of(MESH, OTHER).size(8).maps(NormalMap.create()).build(), Task.silent());
    }

    private static String of(Object... values) throws NoFormException {
        return Fingerprint.of(Fingerprint::ofMesh, values);
    }

    private static Map<String, Supplier<Object>> operations() {
        return Map.ofEntries(Map.entry("Decimate", () -> Decimate.of(MESH)), Map.entry("HiddenParts", () -> HiddenParts.of(MESH)),
                Map.entry("ScanLowPoly", () -> ScanLowPoly.of(MESH)), Map.entry("Cleanup", () -> Cleanup.of(MESH)),
                Map.entry("Lods", () -> Lods.of(MESH)), Map.entry("Lathe", () -> Lathe.around(MESH)),
                Map.entry("Unwrap", () -> Unwrap.of(MESH)), Map.entry("Repack", () -> Repack.of(MESH)),
                Map.entry("Atlas", () -> Atlas.of(MESH, OTHER)), Map.entry("CageFit", () -> CageFit.around(MESH, OTHER)),
                Map.entry("OcclusionMap", () -> OcclusionMap.create(16)), Map.entry("BentNormalMap", () -> BentNormalMap.create(16)),
                Map.entry("ThicknessMap", () -> ThicknessMap.create(16)), Map.entry("CurvatureMap", CurvatureMap::create),
                Map.entry("HeightMap", HeightMap::create), Map.entry("PositionMap", PositionMap::create),
                Map.entry("NormalMap", NormalMap::create), Map.entry("IdMap", IdMap::create), Map.entry("ColourMap", ColourMap::create),
                Map.entry("Preview", () -> Preview.of(MESH)), Map.entry("Compare", () -> Compare.of(MESH, baked(), OTHER)),
                Map.entry("Layers", () -> Layers.on(NORMALS, IRON)));
    }

    /** Every option of every operation, found by what it returns, makes another fingerprint: one that is added later is found, too. */
    @TestFactory
    Stream<DynamicTest> everyOption_changesTheFingerprint() {
        List<DynamicTest> tests = new ArrayList<>();
        operations().forEach((name, start) -> {
            Class<?> type = start.get().getClass();
            for (Method option : type.getMethods()) {
                boolean isOption = option.getReturnType().isAssignableFrom(type) && !Modifier.isStatic(option.getModifiers())
                        && option.getDeclaringClass() != Object.class && !option.isBridge() && !option.getReturnType().isInterface();
                if (isOption && !WITHOUT_EFFECT.contains(option.getName()) && !DEFAULTS.contains(name + "." + option.getName())) {
                    tests.add(DynamicTest.dynamicTest(name + "." + option.getName() + Arrays.toString(option.getParameterTypes()),
                            () -> assertChanges(start, option)));
                }
            }
        });
        assertThat(tests).hasSizeGreaterThan(60);
        return tests.stream();
    }

    private static void assertChanges(Supplier<Object> start, Method option) throws Exception {
        String print = of(start.get());
        Throwable last = null;
        // One of these numbers is in the range of any option and not its default.
        for (double number : new double[] {0.37, 3, 37, 0.037, 64, 1001, 1002}) {
            Object[] arguments = Arrays.stream(option.getParameterTypes()).map(type -> argument(type, number)).toArray();
            try {
                Object changed = option.invoke(start.get(), arguments);
                if (!of(changed).equals(print)) {
                    if (changed instanceof SurfaceMap map && start.get() instanceof SurfaceMap plain) {
                        // A bake that takes maps from an earlier one goes by their recipes alone.
                        assertThat(map.recipe()).as("recipe after " + option).isPresent().isNotEqualTo(plain.recipe());
                    }
                    return;
                }
            } catch (InvocationTargetException e) {
                last = e.getCause();
            }
        }
        throw new AssertionError("no argument of " + option + " changes the fingerprint", last);
    }

    private static Object argument(Class<?> type, double number) {
        if (type == int.class) {
            return Math.max(1, (int) number);
        } else if (type == double.class) {
            return number;
        } else if (type == double[].class) {
            return new double[] {number};
        } else if (type == int[].class) {
            return number < 1 ? new int[] {0, 1} : new int[] {Math.max(1, (int) number)};
        } else if (type == int[][].class) {
            return new int[][] {{0, 1}};
        } else if (type == float[].class) {
            return new float[] {(float) number};
        } else if (type == String.class) {
            return "somebody";
        } else if (type == Axis.class) {
            return Axis.X;
        } else if (type == LatheEnd.class) {
            return LatheEnd.OPEN;
        } else if (type == FloatImage.class) {
            return FloatImage.create(2, 2, number < 1 || number == 1001 ? Encoding.normal() : Encoding.colour(3));
        } else if (type == ImageSource.class) {
            return FloatImage.create(2, 2, Encoding.data(Range.UNIT, 1));
        } else if (type == MeshSource.class) {
            return OTHER;
        } else if (type == LayerMaterial.class) {
            return IRON;
        } else if (type == BakeResult.class) {
            return baked();
        } else if (type == Dressing.class) {
            return Dressing.bare().metal(0.5);
        } else if (type == boolean.class) {
            return number < 1;
        } else if (type.isAssignableFrom(Vector3f.class)) {
            return new Vector3f(1, 2, 3).normalize();
        } else if (type.isEnum()) {
            return type.getEnumConstants()[type.getEnumConstants().length - 1];
        }
        throw new AssertionError("this test has no " + type + " to try: give it one");
    }

    @Test
    void surroundings_changeNothing() throws NoFormException {
        String print = of(Decimate.of(MESH).triangles(9));
        assertThat(of(Decimate.of(MESH).triangles(9).task(Task.reporting(Progress.none())))).isEqualTo(print);
        String cage = of(CageFit.around(MESH, OTHER).tracer(Bvh.build(OTHER, Task.silent())));
        assertThat(of(CageFit.around(MESH, OTHER).tracer(Bvh.build(OTHER, Task.silent())))).isEqualTo(cage);
    }

    @Test
    void inputs_andInputsOfInputs_change() throws NoFormException {
        String print = of(Unwrap.of(Decimate.of(MESH).triangles(9)));
        assertThat(of(Unwrap.of(Decimate.of(MESH).triangles(9)))).isEqualTo(print);
        assertThat(of(Unwrap.of(Decimate.of(MESH).triangles(8)))).isNotEqualTo(print);
        assertThat(of(Unwrap.of(Decimate.of(OTHER).triangles(9)))).isNotEqualTo(print);
    }

    @Test
    void whatIsPassedThrough_changes() {
        Mesh rich = Meshes.rich();
        String print = Fingerprint.ofMesh(rich);
        Attribute weights = rich.extras().get(0);
        List<Mesh> others = List.of(rich.toBuilder().name("other").build(), rich.toBuilder().polygons(null).build(),
                rich.toBuilder().groups(null).build(), rich.toBuilder().smoothingGroups(new int[] {1, 1, 1}).build(),
                rich.toBuilder().tangents(null).build(), rich.toBuilder().extra(weights).build(),
                rich.toBuilder().parts(List.of(new Part("drum"), new Part("base")), new int[] {0, 0, 1}).build(),
                rich.toBuilder().findings(List.of(rich.findings().get(0))).build(),
                rich.toBuilder().materials(rich.materials(), new int[] {1, 0, -1}).build());
        List<String> prints = new ArrayList<>(others.stream().map(Fingerprint::ofMesh).toList());
        prints.add(print);
        assertThat(prints).doesNotHaveDuplicates();
    }

    @Test
    void somebodysLambda_hasNoFingerprint() {
        assertThatThrownBy(() -> of(Decimate.of(() -> MESH).triangles(9))).isInstanceOf(NoFormException.class);
    }

    @Test
    void mapsOfMaps_andRings_comeToAnEnd() throws NoFormException {
        assertThat(of(EffortMap.rays(OcclusionMap.create(16)))).isNotEqualTo(of(EffortMap.rays(OcclusionMap.create(32))))
                .isNotEqualTo(of(EffortMap.error(OcclusionMap.create(16))));
        assertThat(of(ScanLowPoly.of(MESH).triangles(9))).isEqualTo(of(ScanLowPoly.of(MESH).triangles(9)));
    }

    @Test
    void kindsOfValues_areNeverTheSame() throws NoFormException {
        List<Object> values = new ArrayList<>(
                List.of(0, 0L, 0.0, 0f, false, "", List.of(), Map.of(), new int[0], new float[0], new Range(0, 0), "0",
                        new int[] {0}, new float[] {0}, -0.0, List.of(0), List.of(List.of(0))));
        List<String> prints = new ArrayList<>();
        for (Object value : values) {
            prints.add(of(value));
        }
        assertThat(prints).doesNotHaveDuplicates();
    }

    /** FIPS 180-4 gives no value for our bytes; the NIST example of "abc" says that the digest itself is SHA-256. */
    @Test
    void digest_isTheStandards() {
        assertThat(java.util.HexFormat.of().formatHex(Fingerprint.sha256().digest(new byte[] {'a', 'b', 'c'})))
                .isEqualTo("ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    }
}
