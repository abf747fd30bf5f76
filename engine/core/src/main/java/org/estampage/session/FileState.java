package org.estampage.session;

import java.io.IOException;
import java.io.InputStream;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.attribute.BasicFileAttributes;
import java.nio.file.attribute.FileTime;
import java.security.MessageDigest;
import java.util.HexFormat;

/**
 * What a file held at some time.
 *
 * @param name    its name without folders
 * @param size    its bytes
 * @param changed when it says that it was last changed
 * @param sha256  the SHA-256 of its content, 64 hexadecimal digits
 */
record FileState(String name, long size, FileTime changed, String sha256) {
    /**
     * Returns what a file holds now.
     *
     * @cost reads all of it
     * @throws IOException if it can't be read
     */
    static FileState of(Path file) throws IOException {
        BasicFileAttributes attributes = Files.readAttributes(file, BasicFileAttributes.class);
        MessageDigest digest = Fingerprint.sha256();
        byte[] buffer = new byte[1 << 18];
        try (InputStream in = Files.newInputStream(file)) {
            for (int n = in.read(buffer); n >= 0; n = in.read(buffer)) {
                digest.update(buffer, 0, n);
            }
        }
        return new FileState(String.valueOf(file.getFileName()), attributes.size(), attributes.lastModifiedTime(),
                HexFormat.of().formatHex(digest.digest()));
    }

    /** Returns whether a file has the same size and time of change still. */
    boolean isUnchanged(Path file) {
        try {
            BasicFileAttributes now = Files.readAttributes(file, BasicFileAttributes.class);
            return now.size() == size && now.lastModifiedTime().equals(changed);
        } catch (IOException e) { // gone meanwhile
            return false;
        }
    }
}
