package org.estampage.session;

import java.io.IOException;
import java.io.InputStream;
import java.net.URISyntaxException;
import java.net.URL;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.security.CodeSource;
import java.security.MessageDigest;
import java.util.HexFormat;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Optional;
import java.util.Set;
import java.util.stream.Stream;
import org.estampage.mesh.Mesh;
import org.joml.Matrix4f;
import org.jspecify.annotations.Nullable;

/**
 * The engine's own classes: which they are, and a fingerprint of their code and of the library that reaches values.
 */
final class EngineClasses {
    private EngineClasses() {
    }

    /** Returns whether a class is of the engine and has a name: what a lambda does can't be told. */
    static boolean has(Class<?> type) {
        URL home = home(type);
        URL ours = home(Mesh.class);
        return !type.isHidden() && home != null && ours != null && home.toExternalForm().equals(ours.toExternalForm());
    }

    private static @Nullable URL home(Class<?> type) {
        CodeSource source = type.getProtectionDomain().getCodeSource();
        return source == null ? null : source.getLocation();
    }

    /**
     * Returns a fingerprint of this engine's bytes, whether they lie in a jar or in a folder, and of the Java runtime's version; empty where they can't be
     * read.
     *
     * @cost reads a few megabytes
     */
    static Optional<String> fingerprint() {
        Set<Path> places = new LinkedHashSet<>();
        try {
            for (Class<?> type : List.of(Mesh.class, Matrix4f.class)) {
                Optional<Path> place = place(type);
                if (place.isEmpty()) {
                    return Optional.empty();
                }
                places.add(place.get());
            }
            MessageDigest digest = Fingerprint.sha256();
            digest.update(Runtime.version().toString().getBytes(StandardCharsets.UTF_8));
            for (Path place : places) {
                addAll(place, digest);
            }
            return Optional.of(HexFormat.of().formatHex(digest.digest()));
        } catch (IOException | URISyntaxException e) { // then nothing is kept, and all is worked out anew
            return Optional.empty();
        }
    }

    private static Optional<Path> place(Class<?> type) throws URISyntaxException {
        URL home = home(type);
        if (home != null && home.getProtocol().equals("file")) {
            return Optional.of(Path.of(home.toURI()));
        }
        return Optional.empty();
    }

    private static void addAll(Path place, MessageDigest digest) throws IOException {
        if (!Files.isDirectory(place)) {
            add(place, digest);
            return;
        }
        List<Path> files;
        try (Stream<Path> all = Files.walk(place)) {
            files = all.filter(Files::isRegularFile).sorted().toList();
        }
        for (Path file : files) {
            digest.update(place.relativize(file).toString().getBytes(StandardCharsets.UTF_8));
            add(file, digest);
        }
    }

    private static void add(Path file, MessageDigest digest) throws IOException {
        byte[] buffer = new byte[1 << 16];
        try (InputStream in = Files.newInputStream(file)) {
            for (int n = in.read(buffer); n >= 0; n = in.read(buffer)) {
                digest.update(buffer, 0, n);
            }
        }
    }
}
