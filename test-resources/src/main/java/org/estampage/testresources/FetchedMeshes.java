package org.estampage.testresources;

import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Optional;

/**
 * Finds the open meshes that {@code test-resources/fetch} puts into {@code test-resources/fetched}.
 *
 * <p>A developer may build without them; a continuous-integration run, which sets the environment variable {@code CI}, may not.
 *
 * @threads stateless
 */
public final class FetchedMeshes {
    private FetchedMeshes() {
    }

    /** Returns the bunny, a binary STL of 69,451 triangles in metres, open at the bottom. */
    public static Optional<Path> bunny() {
        return file("bunny.stl");
    }

    /** Returns the terrain, an archive for {@link Npy#readArchive}: {@code elevation} holds 344 rows of 403 heights, 236 … 1076 metres. */
    public static Optional<Path> terrain() {
        return file("jacksboro_fault_dem.npz");
    }

    /** Returns the plain elephant for {@link OffReader}: 5,558 triangles, closed, three handles. */
    public static Optional<Path> elephant() {
        return file("elephant.off");
    }

    /** Returns the refined elephant for {@link OffReader}: 88,928 triangles; the plain one's high poly. */
    public static Optional<Path> refinedElephant() {
        return file("refined_elephant.off");
    }

    /** Returns the glTF validator, a script for node that {@code require} takes. */
    public static Optional<Path> gltfValidator() {
        return file("gltf-validator.js");
    }

    /**
     * Returns a fetched file, or nothing where it was not fetched.
     *
     * @throws IllegalStateException if it is missing and the environment variable CI is set to something other than false
     */
    public static Optional<Path> file(String name) {
        return file(name, Path.of("").toAbsolutePath(), System.getenv().getOrDefault("CI", "false"));
    }

    static Optional<Path> file(String name, Path from, String ci) {
        for (Path folder = from; folder != null; folder = folder.getParent()) {
            Path candidate = folder.resolve("test-resources").resolve("fetched").resolve(name);
            if (Files.isRegularFile(candidate)) {
                return Optional.of(candidate);
            }
        }
        if (!ci.isEmpty() && !ci.equalsIgnoreCase("false")) {
            throw new IllegalStateException(name + " is missing; run test-resources/fetch");
        }
        return Optional.empty();
    }
}
