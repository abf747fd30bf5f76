package org.estampage.handover;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.Random;
import org.estampage.bake.BakeJob;
import org.estampage.bake.BakeResult;
import org.estampage.bake.Baker;
import org.estampage.cage.Cage;
import org.estampage.finding.Severity;
import org.estampage.io.format.FormatException;
import org.estampage.io.format.SampleFormat;
import org.estampage.maps.HeightMap;
import org.estampage.maps.NormalMap;
import org.estampage.maps.OcclusionMap;
import org.estampage.maps.PositionMap;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Axis;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.MeshDigest;
import org.estampage.task.Task;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

class ManifestTest {
    private static final int[] CORNERS = {0, 1, 2, 0, 2, 3};

    @TempDir
    Path folder;

    /** Returns a quad over [−1, 1]² of x and z that faces +Y, {@code rise} lower in front than behind. */
    private static Mesh quad(String name, float width, float rise) {
        float[] p = {-width, -rise, width, width, -rise, width, width, rise, -width, -width, rise, -width};
        float[] uv = {0, 0, 1, 0, 1, 1, 0, 1};
        return Mesh.builder(p, CORNERS).name(name).uvSet(new Attribute("uv", 2, uv, CORNERS)).build();
    }

    /** A high poly that reaches over a part of the low poly only, so that there is something to find. */
    private static BakeResult bake(float highWidth) {
        Mesh low = quad("plate", 1, 0);
        return Baker.create().bake(BakeJob.of(Cage.offset(low, 0.5), quad("rough \"plate\"\n", highWidth, 0.25f)).size(16)
                .maps(NormalMap.create(), HeightMap.create(), OcclusionMap.create(16).reach(0.5).ground(Axis.Y), PositionMap.create())
                .build(),
                Task.silent());
    }

    private Manifest written(Manifest manifest) throws IOException {
        Path file = folder.resolve("manifest.json");
        manifest.write(file, Task.silent());
        return Manifest.read(file);
    }

    @Test
    void manifest_isJson_andNothingElse() {
        Manifest manifest = Manifest.of(bake(1), List.of());
        assertThatThrownBy(() -> manifest.write(folder.resolve("manifest.png"), Task.silent())).isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining("must end with .json");
        assertThat(folder.resolve("manifest.png")).doesNotExist();
    }

    @Test
    void manifest_readBack_isTheSameText_andTellsRanges() throws IOException {
        BakeResult result = bake(1);
        List<WrittenMap> files = List.of(new WrittenMap(folder.resolve("plate-height.png"), "height", 1001, SampleFormat.UNSIGNED_16,
                result.map("height").encoding()));
        Manifest manifest = Manifest.of(result, files);
        Manifest back = written(manifest);
        assertThat(back.text()).isEqualTo(manifest.text()).contains("\"plate-height.png\"", "\"16-bit\"",
                "occlusion(16).reach(0.5).ground(Y)");
        assertThat(back.range("height")).hasValue(result.range("height"));
        assertThat(back.ranges("position")).hasSize(3);
        assertThat(back.range("no-such-map")).isEmpty();
        assertThat(Manifest.of(bake(1), files).text()).as("of a second bake of the same").isEqualTo(manifest.text());
    }

    @Test
    void aRangeLockedToAnEarlierBake_staysInTheNextOne() {
        Manifest earlier = Manifest.of(bake(1), List.of());
        BakeJob.Builder job = BakeJob.of(Cage.offset(quad("plate", 1, 0), 0.5), quad("rough", 1, 0.1f)).size(16).maps(HeightMap.create(),
                NormalMap.create());
        earlier.lockRanges(job);
        BakeResult next = Baker.create().bake(job.build(), Task.silent());
        assertThat(next.range("height")).isEqualTo(earlier.range("height").orElseThrow());
        assertThat(next.findings().ofKind("range-exceeded")).isEmpty();
        assertThat(Manifest.of(next, List.of()).script()).contains(".range(\"height\", new Range(");
    }

    @Test
    void whatChanged_isNamed() {
        BakeResult result = bake(1);
        Manifest manifest = Manifest.of(result, List.of());
        assertThat(manifest.differences(result.job())).isEmpty();
        Mesh low = quad("plate", 1, 0);
        BakeJob other = BakeJob.of(Cage.offset(low, 0.25), quad("rough", 1, 0.2f), quad("more", 1, 0.1f)).maps(NormalMap.create()).build();
        assertThat(manifest.differences(other)).containsExactly("there are 2 high polys, there were 1",
                "high poly 1 differs from the one that was baked", "the cage differs from the one that was baked");
    }

    @Test
    void findings_areOpenUntilSomebodyAcceptsThem_andAgainWhenThereAreMore() throws IOException {
        Manifest manifest = Manifest.of(bake(0.9f), List.of());
        List<String> open = manifest.open(Severity.WARNING);
        assertThat(open).isNotEmpty();
        Manifest signed = manifest;
        for (String kind : open) {
            signed = signed.accepted(kind, "A. Keeper", "the rim is hidden by the base");
        }
        assertThat(written(signed).open(Severity.WARNING)).isEmpty();
        assertThat(Manifest.of(bake(0.9f), List.of()).acceptedAsIn(signed).open(Severity.WARNING)).isEmpty();
        assertThat(Manifest.of(bake(0.5f), List.of()).acceptedAsIn(signed).open(Severity.WARNING)).as("of a bake that misses more")
                .isNotEmpty();
        assertThatThrownBy(() -> manifest.accepted("unheard-of", "A. Keeper", "no")).isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining(open.get(0));
        assertThatThrownBy(() -> manifest.accepted(open.get(0), " ", "no")).isInstanceOf(IllegalArgumentException.class);
    }

    @Test
    void inputFiles_areNamedWithTheirFingerprints() throws IOException {
        Path file = folder.resolve("abc.txt");
        Files.writeString(file, "abc");
        // NIST, FIPS 180-2 appendix B.1 (from memory): SHA-256 of "abc".
        assertThat(Manifest.of(bake(1), List.of()).input("high", file).text())
                .contains("ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad", "\"bytes\" : 3");
    }

    @Test
    void damagedManifests_areFormatExceptions() throws IOException {
        String good = Manifest.of(bake(0.9f), List.of()).text();
        for (String[] change : new String[][] {{"estampage-manifest", "x"}, {"\"version\" : 1", "\"version\" : 2"},
                {"\"maps\" : [", "\"charts\" : ["},
                {"\"severity\" : \"", "\"severity\" : \"un"}, {"BOX", "CONE"}, {"[ -1.0, 1.0 ]", "[ -1.0 ]"},
                {"\"width\" : 16", "\"width\" : \"wide\""},
                {"\"normal()\"", "\"normal(); exit(1)\""}, {"\"normal()\"", "\"Runtime.getRuntime()\""}}) {
            Path file = folder.resolve("bad.json");
            Files.writeString(file, good.replace(change[0], change[1]));
            assertThatThrownBy(() -> Manifest.read(file)).as(change[1]).isInstanceOf(FormatException.class)
                    .hasMessageContaining("bad.json");
        }
        byte[] bytes = good.getBytes(StandardCharsets.UTF_8);
        Random random = new Random(5);
        for (int i = 0; i < 400; i++) {
            byte[] bad = i % 2 == 0 ? java.util.Arrays.copyOf(bytes, random.nextInt(bytes.length)) : bytes.clone();
            if (bad.length > 0) {
                bad[random.nextInt(bad.length)] = (byte) random.nextInt();
            }
            Path file = folder.resolve("broken.json");
            Files.write(file, bad);
            try {
                Manifest read = Manifest.read(file);
                read.script();
                read.open(Severity.NOTE);
                read.ranges("height");
            } catch (FormatException e) {
                assertThat(e).hasMessageContaining("broken.json");
            }
        }
    }

    @Test
    void fingerprints_changeWithWhatABakeSees_andWithNothingElse() {
        Mesh mesh = quad("plate", 1, 0);
        String print = MeshDigest.sha256(mesh);
        assertThat(print).hasSize(64).isEqualTo(MeshDigest.sha256(mesh.toBuilder().name("other")));
        float[] moved = mesh.positions().clone();
        moved[0] = Math.nextUp(moved[0]);
        assertThat(MeshDigest.sha256(mesh.toBuilder().positions(moved))).isNotEqualTo(print);
        assertThat(MeshDigest.sha256(mesh.toBuilder().noUvSets())).isNotEqualTo(print);
        float[] white = {1, 1, 1};
        Mesh painted = mesh.toBuilder().colourSet(new Attribute("paint", 3, white, new int[6])).build();
        assertThat(MeshDigest.sha256(painted)).isNotEqualTo(print);
        assertThat(MeshDigest.sha256(mesh.toBuilder().smoothingGroups(new int[] {1, 2}))).isNotEqualTo(print);
    }
}
