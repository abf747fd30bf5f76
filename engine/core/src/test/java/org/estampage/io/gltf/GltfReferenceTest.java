package org.estampage.io.gltf;

import static org.assertj.core.api.Assertions.assertThat;
import static org.junit.jupiter.api.Assumptions.assumeTrue;

import java.awt.image.BufferedImage;
import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import javax.imageio.ImageIO;
import org.estampage.io.MeshFiles;
import org.estampage.io.TestMeshes;
import org.estampage.io.TestMeshes.Content;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Material;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.Part;
import org.estampage.task.Task;
import org.estampage.testresources.FetchedMeshes;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** What we write, judged by the Khronos Group's own validator (npm gltf-validator 2.0.0-dev.3.10): no error and no warning. */
class GltfReferenceTest {
    /** Prints a line a file: errors, warnings, and the messages of both. */
    private static final String SCRIPT = """
            const fs = require('fs'), path = require('path'), validator = require(process.argv[1]);
            (async () => {
              for (const file of process.argv.slice(2)) {
                const report = await validator.validateBytes(new Uint8Array(fs.readFileSync(file)), {
                  uri: path.basename(file), maxIssues: 20,
                  externalResourceFunction: uri => fs.promises.readFile(path.join(path.dirname(file), decodeURIComponent(uri))).then(b => new Uint8Array(b))
                });
                const issues = report.issues;
                console.log(path.basename(file) + ': ' + issues.numErrors + ' errors, ' + issues.numWarnings + ' warnings ' +
                    issues.messages.filter(m => m.severity < 2).map(m => m.code + ' ' + m.pointer + ' ' + m.message).join('; '));
              }
            })();
            """;

    @TempDir
    private Path folder;

    private static List<String> verdicts(List<Path> files) throws IOException, InterruptedException {
        Optional<Path> validator = FetchedMeshes.gltfValidator();
        assumeTrue(validator.isPresent(), "not fetched");
        List<String> command = new ArrayList<>(List.of("node", "-e", SCRIPT, validator.get().toString()));
        files.forEach(f -> command.add(f.toString()));
        Process process = new ProcessBuilder(command).redirectErrorStream(true).start();
        try {
            String out = new String(process.getInputStream().readAllBytes(), StandardCharsets.UTF_8);
            assertThat(process.waitFor()).as(out).isZero();
            return out.lines().map(String::strip).toList();
        } finally {
            process.destroyForcibly();
        }
    }

    private static byte[] picture(String type) throws IOException {
        BufferedImage image = new BufferedImage(16, 8, BufferedImage.TYPE_INT_RGB);
        image.setRGB(3, 2, 0x8080ff);
        ByteArrayOutputStream out = new ByteArrayOutputStream();
        ImageIO.write(image, type, out);
        return out.toByteArray();
    }

    private static GltfMaterial dressed() throws IOException {
        GltfTexture packed = GltfTexture.png("panel occlusion é", picture("png"));
        return GltfMaterial.named("cast iron").baseColour(0.5, 0.25, 0.125, 0.75).roughness(0.5).cutOut(0.25).doubleSided()
                .texture(GltfTextureUse.BASE_COLOUR, GltfTexture.of("panel-colour", "image/jpeg", picture("jpg")))
                .texture(GltfTextureUse.NORMAL, GltfTexture.png("panel-normal", picture("png")))
                .texture(GltfTextureUse.EMISSION, GltfTexture.png("panel-glow", picture("png"))).occlusionRoughnessMetal(packed);
    }

    private Path written(String name, GltfModel model) throws IOException {
        Path path = folder.resolve(name);
        model.write(path, Task.silent());
        return path;
    }

    @Test
    void everyKindOfOutput_hasNoErrorAndNoWarning() throws IOException, InterruptedException {
        Mesh panel = GltfFormatTest.panel().build();
        Mesh coarse = Mesh.builder(new float[] {0, 0, 0, 1, 0, 0, 0, 1, 0}, new int[] {0, 1, 2}).name("far")
                .parts(List.of(new Part("far")), null)
                .normals(new Attribute("normal", 3, new float[] {0, 0, 1}, new int[3]))
                .uvSet(new Attribute("uv", 2, new float[] {0, 0, 1, 0, 0, 1}, new int[] {0, 1, 2})).build();
        Mesh rich = panel.toBuilder().uvSet(new Attribute("lightmap", 2, new float[] {0.25f, 0.5f}, new int[6]))
                .colourSet(new Attribute("dirt", 3, new float[] {0.1f, 0.2f, 2}, new int[6]))
                .colourSet(new Attribute("wear", 3, new float[] {1, 0, 0.2f}, new int[6], Attribute.Storage.UNIT_BYTE))
                .colourSet(new Attribute("rust", 4, new float[] {1, 0, 0.2f, 1}, new int[6], Attribute.Storage.UNIT_SHORT))
                .extra(new Attribute("WEIGHTS_0", 4, new float[] {1, 0, 0, 0}, new int[6])) // without joints no skin
                .extra(new Attribute("scan quality", 3, new float[] {1, -2, 3}, new int[6], Attribute.Storage.INTEGER))
                .materials(List.of(Material.named("plain"), new Material("glass", 1, 1, 1, 0.5f, Map.of(), Map.of())),
                        new int[] {1, 0})
                .parts(List.of(new Part("a"), new Part("b")), new int[] {0, 1}).build();
        List<Path> files = new ArrayList<>();
        files.add(written("plain.glb", GltfModel.of(panel)));
        files.add(written("plain json.gltf", GltfModel.of(panel)));
        files.add(written("dressed.glb", GltfModel.of(panel).material(dressed())));
        files.add(written("dressed.gltf", GltfModel.of(panel).material(dressed())));
        files.add(written("beside.glb", GltfModel.of(panel).material(dressed()).texturesBeside()));
        files.add(written("levels.glb", GltfModel.of(rich, coarse).and(coarse).material("glass", dressed())));
        files.add(written("rich.glb", GltfModel.of(rich)));
        for (int seed = 0; seed < 20; seed++) {
            files.add(folder.resolve("random" + seed + (seed % 2 == 0 ? ".glb" : ".gltf")));
            MeshFiles.write(TestMeshes.random(seed, "a", Content.values()), files.get(files.size() - 1), Task.silent());
        }
        List<String> verdicts = verdicts(files);
        assertThat(verdicts).hasSize(files.size());
        assertThat(verdicts).allMatch(v -> v.endsWith(": 0 errors, 0 warnings"));
    }

    /** So that the test above can fail. */
    @Test
    void damagedOutput_isFoundOut() throws IOException, InterruptedException {
        Path path = written("panel.gltf", GltfModel.of(GltfFormatTest.panel().build()));
        Files.writeString(path, Files.readString(path).replace("5126", "5123"));
        assertThat(verdicts(List.of(path)).get(0)).doesNotContain(": 0 errors");
    }

    @Test
    void skin_isWarnedOfForItsMissingJoints_andForNothingElse() throws IOException, InterruptedException {
        Mesh skinned = GltfFormatTest.panel()
                .extra(new Attribute("JOINTS_0", 4, new float[] {1, 2, 0, 0}, new int[6], Attribute.Storage.UNSIGNED_BYTE))
                .extra(new Attribute("WEIGHTS_0", 4, new float[] {0.75f, 0.25f, 0, 0}, new int[6])).build();
        assertThat(verdicts(List.of(written("skin.glb", GltfModel.of(skinned)))).get(0))
                .contains("0 errors, 1 warnings NODE_SKINNED_MESH_WITHOUT_SKIN");
    }
}
