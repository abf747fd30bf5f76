package org.estampage.handover;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import org.estampage.bake.BakeJob;
import org.estampage.bake.BakeResult;
import org.estampage.bake.Baker;
import org.estampage.cage.Cage;
import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.image.Range;
import org.estampage.io.ImageFiles;
import org.estampage.io.MeshFiles;
import org.estampage.maps.ColourMap;
import org.estampage.maps.NormalMap;
import org.estampage.maps.OcclusionMap;
import org.estampage.material.Finish;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

class ModelFilesTest {
    private static final int[] CORNERS = {0, 1, 2, 0, 2, 3};
    private static final float[] UNIT_UV = {0, 0, 1, 0, 1, 1, 0, 1};

    @TempDir
    Path folder;

    /** Returns a quad over [−1, 1]² of x and z that faces +Y and rises along −z by {@code rise} on each side. */
    private static Mesh quad(float rise, float[] uv) {
        float[] p = {-1, -rise, 1, 1, -rise, 1, 1, rise, -1, -1, rise, -1};
        float[] paint = {0.5f, 0.25f, 0.125f};
        return Mesh.builder(p, CORNERS).name("pla/te").uvSet(new Attribute("uv", 2, uv, CORNERS))
                .uvSet(new Attribute("light", 2, new float[] {0, 0, 0.5f, 0, 0.5f, 0.25f, 0, 0.25f}, CORNERS))
                .colourSet(new Attribute("paint", 3, paint, new int[6])).build();
    }

    private static BakeJob.Builder job(Mesh low) {
        return BakeJob.of(Cage.offset(low, 0.5), quad(0.25f, UNIT_UV)).size(16).maps(NormalMap.create().greenDown(),
                OcclusionMap.create(16),
                ColourMap.create());
    }

    private static FloatImage plain(float value) {
        FloatImage image = FloatImage.create(16, 16, Encoding.data(Range.UNIT, 1));
        image.fill(value);
        return image;
    }

    @Test
    void texturesBeside_areWhatAViewerExpects() throws IOException {
        BakeResult result = Baker.create().bake(job(quad(0, UNIT_UV)).build(), Task.silent());
        ModelFiles model = ModelFiles.of(result, quad(0, UNIT_UV)).roughness(plain(0.6f)).texturesBeside();
        model.write(folder.resolve("plate.gltf"), Task.silent());
        FloatImage raw = result.map("normal");
        FloatImage normal = ImageFiles.readNormals(folder.resolve("pla_te-normal.png"));
        assertThat(result.map("normal").encoding()).isEqualTo(Encoding.normalGreenDown());
        assertThat(normal.get(8, 8, 1)).as("green up, though the map says down").isCloseTo(raw.get(8, 8, 1),
                org.assertj.core.data.Offset.offset(1 / 255f));
        assertThat(Math.abs(raw.get(8, 8, 1))).isGreaterThan(0.1f);
        FloatImage packed = ImageFiles.read(folder.resolve("pla_te-occlusion-roughness-metal.png"));
        assertThat(packed.get(8, 8, 0)).isEqualTo(1f);
        assertThat(packed.get(8, 8, 1)).isEqualTo(0.6f);
        assertThat(packed.get(8, 8, 2)).isZero();
        // Vertex colours are taken as painted, with the sRGB curve, which the file has again.
        assertThat(Math.round(255 * ImageFiles.read(folder.resolve("pla_te-base-colour.png")).get(8, 8, 1))).isEqualTo(64);
        JsonNode gltf = new ObjectMapper().readTree(folder.resolve("plate.gltf").toFile());
        JsonNode material = gltf.path("materials").path(0);
        assertThat(material.path("normalTexture").path("index").isInt()).isTrue();
        assertThat(material.path("occlusionTexture").path("index").asInt(-1))
                .isEqualTo(material.path("pbrMetallicRoughness").path("metallicRoughnessTexture").path("index").asInt(-2));
        assertThat(gltf.toString()).contains("TANGENT", "TEXCOORD_1", "COLOR_0");
    }

    @Test
    void everythingInOneFile_comesBackAsItWas() throws IOException {
        Mesh low = quad(0, UNIT_UV);
        BakeResult result = Baker.create().bake(job(low).build(), Task.silent());
        ModelFiles.of(result).coarser(low).write(folder.resolve("plate.glb"), Task.silent());
        Mesh back = MeshFiles.read(folder.resolve("plate.glb"), Task.silent());
        assertThat(back.uvSets()).hasSize(2);
        assertThat(back.tangents()).isPresent();
        assertThat(back.materials().get(0).textures().keySet()).contains("normal", "base-colour", "occlusion");
        try (var files = Files.list(folder)) {
            assertThat(files).hasSize(1);
        }
    }

    @Test
    void finish_takesThePlaceOfTheBakedMaps() throws IOException {
        BakeResult result = Baker.create().bake(job(quad(0, UNIT_UV)).build(), Task.silent());
        FloatImage colour = FloatImage.create(16, 16, Encoding.colour(3)), normal = FloatImage.create(16, 16, Encoding.normal());
        colour.fill(0, 1, 0);
        normal.fill(0, 0, 1);
        ModelFiles.of(result).finish(new Finish(colour, plain(0.6f), plain(1), normal, plain(0.5f), plain(0.2f))).texturesBeside()
                .write(folder.resolve("plate.gltf"), Task.silent());
        FloatImage packed = ImageFiles.read(folder.resolve("pla_te-occlusion-roughness-metal.png"));
        assertThat(packed.get(8, 8, 0)).isEqualTo(0.2f);
        assertThat(packed.get(8, 8, 1)).isEqualTo(0.6f);
        assertThat(packed.get(8, 8, 2)).isEqualTo(1f);
        assertThat(ImageFiles.read(folder.resolve("pla_te-base-colour.png")).get(8, 8, 1)).isEqualTo(1f);
        assertThat(ImageFiles.readNormals(folder.resolve("pla_te-normal.png")).get(8, 8, 2)).isGreaterThan(0.999f); // 8 bits have no exact 0
    }

    @Test
    void udimTiles_areMaterialsOfTheirOwn() throws IOException {
        Mesh two = Mesh.builder(new float[] {-1, 0, 1, 1, 0, 1, 1, 0, -1, -1, 0, -1}, CORNERS).name("plate")
                .uvSet(new Attribute("uv", 2, new float[] {0.1f, 0.1f, 0.9f, 0.1f, 0.9f, 0.9f, 1.1f, 0.1f, 1.9f, 0.9f, 1.1f, 0.9f},
                        new int[] {0, 1, 2, 3, 4, 5}))
                .build();
        BakeResult result = Baker.create().bake(
                BakeJob.of(Cage.offset(two, 0.5), quad(0.25f, UNIT_UV)).size(16).maps(NormalMap.create(), OcclusionMap.create(16)).udim()
                        .build(),
                Task.silent());
        ModelFiles.of(result).write(folder.resolve("plate.glb"), Task.silent());
        Mesh back = MeshFiles.read(folder.resolve("plate.glb"), Task.silent());
        assertThat(back.materials()).extracting(m -> m.name()).containsExactly("plate.1001", "plate.1002");
        assertThat(back.materialLabels().orElseThrow().of(0)).isNotEqualTo(back.materialLabels().orElseThrow().of(1));
        assertThatThrownBy(() -> ModelFiles.of(result).metal(plain(1))).isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining("UDIM");
    }

    @Test
    void whatCannotBe_isRefused() {
        BakeResult result = Baker.create().bake(job(quad(0, UNIT_UV)).build(), Task.silent());
        assertThatThrownBy(() -> ModelFiles.of(result, quad(0.1f, UNIT_UV))).isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining("not the mesh that was baked");
        assertThatThrownBy(() -> ModelFiles.of(result).write(folder.resolve("plate.obj"), Task.silent()))
                .isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining(".glb");
        assertThatThrownBy(() -> ModelFiles.of(result).baseColour(plain(1))).isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining("COLOUR");
        assertThatThrownBy(() -> ModelFiles.of(result).bits(12)).isInstanceOf(IllegalArgumentException.class);
    }
}
