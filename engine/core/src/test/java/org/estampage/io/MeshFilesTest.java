package org.estampage.io;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.NoSuchFileException;
import java.nio.file.Path;
import java.util.Map;
import org.estampage.io.format.SampleFormat;
import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.io.format.MeshFormat;
import org.estampage.io.format.FormatException;
import org.estampage.io.obj.ObjFormat;
import org.estampage.io.ply.PlyFormat;
import org.estampage.io.stl.StlFormat;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

class MeshFilesTest {
    @TempDir
    Path folder;

    private final Mesh triangle = Mesh.builder(new float[] {0, 0, 0, 1, 0, 0, 0, 1, 0}, new int[] {0, 1, 2}).name("a").build();

    @Test
    void read_goesByContent_whateverTheEnding() throws IOException {
        for (MeshFormat format : new MeshFormat[] {new ObjFormat(), PlyFormat.binary(), PlyFormat.ascii(), StlFormat.binary(),
                StlFormat.ascii()}) {
            for (String ending : new String[] {"", ".obj", ".ply", ".stl", ".txt"}) {
                Path path = folder.resolve("a" + ending);
                format.write(triangle, path, Task.silent());
                assertThat(MeshFiles.read(path, Task.silent()).sameAs(triangle)).as("%s in %s", format.name(), path).isTrue();
            }
        }
    }

    @Test
    void read_ofUnknownContent_goesByTheEnding() throws IOException {
        Path path = Files.writeString(folder.resolve("a.obj"), "# c\nusemap x\nv 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 3\n");
        assertThat(MeshFiles.read(path, Task.silent()).triangleCount()).isEqualTo(1);
    }

    @Test
    void read_ofNoMesh_saysWhichFormatsThereAre() throws IOException {
        Path path = Files.writeString(folder.resolve("a.txt"), "hello");
        assertThatThrownBy(() -> MeshFiles.read(path, Task.silent())).isInstanceOf(FormatException.class)
                .hasMessage("a.txt is not a mesh file known here: use one of PLY (.ply), glTF (.glb, .gltf), STL (.stl), OBJ (.obj)");
        Path empty = Files.writeString(folder.resolve("empty.txt"), "");
        assertThatThrownBy(() -> MeshFiles.read(empty, Task.silent())).hasMessageStartingWith("empty.txt is empty");
    }

    @Test
    void read_ofAMissingFile_saysThatItDoesNotExist() {
        Path path = folder.resolve("nowhere.ply");
        assertThatThrownBy(() -> MeshFiles.read(path, Task.silent())).isInstanceOf(NoSuchFileException.class)
                .hasMessage(path + ": does not exist");
        assertThatThrownBy(() -> MeshFiles.read(folder, Task.silent())).isInstanceOf(IOException.class).hasMessageContaining("is a folder");
    }

    @Test
    void write_goesByTheEnding() throws IOException {
        MeshFiles.write(triangle, folder.resolve("new/folder/a.PLY"), Task.silent());
        assertThat(Files.readString(folder.resolve("new/folder/a.PLY"), java.nio.charset.StandardCharsets.ISO_8859_1))
                .startsWith("ply\nformat binary_little");
    }

    @Test
    void endingsThatNameNoFormat_areRefusedAlike_forMeshesAndImages() {
        FloatImage image = FloatImage.create(1, 1, Encoding.colour(3));
        for (String name : new String[] {"a.xyz", "ply", "png", "a", "a.png.", "folder.ply/a"}) {
            Path path = folder.resolve(name);
            String file = path.getFileName().toString();
            assertThatThrownBy(() -> MeshFiles.write(triangle, path, Task.silent())).isExactlyInstanceOf(IllegalArgumentException.class)
                    .hasMessage(file
                            + " has no ending that names a mesh format: use one of PLY (.ply), glTF (.glb, .gltf), STL (.stl), OBJ (.obj)");
            assertThatThrownBy(() -> ImageFiles.write(image, path, SampleFormat.UNSIGNED_8, Map.of(), Task.silent()))
                    .isExactlyInstanceOf(IllegalArgumentException.class)
                    .hasMessage(file
                            + " has no ending that names an image format: use one of PNG (.png), EXR (.exr), TIFF (.tif, .tiff), TGA (.tga)");
            assertThat(path).doesNotExist();
        }
    }
}
