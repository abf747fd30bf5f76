package org.estampage.session;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import java.io.ByteArrayInputStream;
import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.lang.reflect.Modifier;
import java.util.Arrays;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Set;
import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.constraints.IntRange;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Mesh;
import org.estampage.task.MemoryBudget;
import org.junit.jupiter.api.Test;

class MeshFormTest {
    static byte[] bytes(Object value) throws IOException {
        ByteArrayOutputStream out = new ByteArrayOutputStream();
        ValueOut values = new ValueOut(out);
        values.put(value);
        values.bytes().flush();
        return out.toByteArray();
    }

    static Object read(byte[] bytes) throws IOException {
        return new ValueIn(new ByteArrayInputStream(bytes), bytes.length, MemoryBudget.ofHeap()).get(Object.class);
    }

    @Test
    void mesh_writtenAndRead_isTheSameInAllThatItHolds() throws IOException {
        Mesh mesh = Meshes.rich();
        Mesh back = (Mesh) read(bytes(mesh));
        assertThat(back.name()).isEqualTo(mesh.name());
        assertThat(bits(back.positions())).isEqualTo(bits(mesh.positions()));
        assertThat(back.positionIndices()).isEqualTo(mesh.positionIndices());
        assertSame(List.of(back.normals().orElseThrow()), List.of(mesh.normals().orElseThrow()));
        assertSame(List.of(back.tangents().orElseThrow()), List.of(mesh.tangents().orElseThrow()));
        assertSame(back.uvSets(), mesh.uvSets());
        assertSame(back.colourSets(), mesh.colourSets());
        assertSame(back.extras(), mesh.extras());
        assertThat(back.polygons().orElseThrow()).usingRecursiveComparison().isEqualTo(mesh.polygons().orElseThrow());
        assertThat(back.smoothingGroups()).isEqualTo(mesh.smoothingGroups());
        assertThat(back.parts()).usingRecursiveComparison().isEqualTo(mesh.parts());
        assertThat(back.partLabels()).usingRecursiveComparison().isEqualTo(mesh.partLabels());
        assertThat(back.materials()).isEqualTo(mesh.materials());
        assertThat(back.materialLabels()).usingRecursiveComparison().isEqualTo(mesh.materialLabels());
        assertThat(back.groupLabels()).usingRecursiveComparison().isEqualTo(mesh.groupLabels());
        assertThat(back.findings()).isEqualTo(mesh.findings());
        assertThat(Fingerprint.ofMesh(back)).isEqualTo(Fingerprint.ofMesh(mesh));
        // Equal index lists are one again, so that a mesh takes no more memory than before.
        assertThat(back.uvSets().get(0).indices()).isSameAs(back.positionIndices());
    }

    @Test
    void meshWithoutAnything_writtenAndRead_hasNothing() throws IOException {
        Mesh back = (Mesh) read(bytes(Mesh.builder(new float[0], new int[0]).build()));
        assertThat(back.triangleCount()).isZero();
        assertThat(back.normals()).isEmpty();
        assertThat(back.polygons()).isEmpty();
        assertThat(back.smoothingGroups()).isNull();
        assertThat(back.materialLabels()).isEmpty();
        assertThat(back.groupLabels()).isEmpty();
    }

    /** A field that a mesh gains must come into its form, too: this list is what the form knows. */
    @Test
    void everyFieldOfAMesh_isKnownToItsForm() {
        Set<String> fields = new LinkedHashSet<>();
        Arrays.stream(Mesh.class.getDeclaredFields()).filter(f -> !Modifier.isStatic(f.getModifiers()))
                .forEach(f -> fields.add(f.getName()));
        assertThat(fields).containsExactlyInAnyOrder("name", "positions", "positionIndices", "normals", "tangents", "uvSets", "colourSets",
                "extras", "polygons", "smoothingGroups", "parts", "partLabels", "materials", "materialLabels", "groupLabels", "findings",
                "bounds"); // of the positions
    }

    @Property(tries = 100)
    void anyBitOfAPosition_changesTheFingerprint(@ForAll @IntRange(max = 17) int at, @ForAll @IntRange(max = 31) int bit) {
        Mesh mesh = Meshes.rich();
        float[] moved = mesh.positions().clone();
        moved[at] = Float.intBitsToFloat(Float.floatToRawIntBits(moved[at]) ^ 1 << bit);
        Mesh other = mesh.toBuilder().positions(moved).build();
        assertThat(Fingerprint.ofMesh(other)).isNotEqualTo(Fingerprint.ofMesh(mesh));
    }

    @Property(tries = 60)
    void aBrokenForm_isRefusedOrAnotherMesh_butNeverAnythingElse(@ForAll @IntRange(min = 0, max = 2000) int at, @ForAll byte value)
            throws IOException {
        byte[] bytes = bytes(Meshes.rich());
        bytes[at % bytes.length] = value;
        try {
            assertThat(read(bytes)).isNotNull();
        } catch (IOException | IllegalArgumentException | IndexOutOfBoundsException e) {
            assertThat(e).hasMessageMatching("(?s).+");
        }
    }

    @Test
    void halfAForm_isRefused() throws IOException {
        byte[] bytes = bytes(Meshes.rich());
        assertThatThrownBy(() -> read(Arrays.copyOf(bytes, bytes.length / 2))).isInstanceOf(IOException.class);
    }

    private static void assertSame(List<Attribute> back, List<Attribute> given) {
        assertThat(back).hasSameSizeAs(given);
        for (int i = 0; i < given.size(); i++) {
            assertThat(back.get(i).name()).isEqualTo(given.get(i).name());
            assertThat(back.get(i).components()).isEqualTo(given.get(i).components());
            assertThat(back.get(i).storage()).isEqualTo(given.get(i).storage());
            assertThat(bits(back.get(i).values())).isEqualTo(bits(given.get(i).values()));
            assertThat(back.get(i).indices()).isEqualTo(given.get(i).indices());
        }
    }

    private static int[] bits(float[] values) {
        int[] bits = new int[values.length];
        for (int i = 0; i < bits.length; i++) {
            bits[i] = Float.floatToRawIntBits(values[i]);
        }
        return bits;
    }
}
