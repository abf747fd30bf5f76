package org.estampage.io.gltf;

import java.util.Objects;

/**
 * An encoded picture that goes into a delivery as it is.
 *
 * <p>The bytes are owned by the texture after construction and must not be changed.
 *
 * @threads immutable by contract
 */
public final class GltfTexture {
    private static final String REFUSED = "/\\:*?\"<>|#%";

    private final String name;
    private final String mediaType;
    private final byte[] bytes;

    private GltfTexture(String name, String mediaType, byte[] bytes) {
        this.name = name;
        this.mediaType = mediaType;
        this.bytes = bytes;
    }

    /**
     * Returns a texture.
     *
     * @param name      a file's name without its ending, such as {@code bollard-normal}
     * @param mediaType {@code image/png} or {@code image/jpeg}, the two that glTF allows
     * @param bytes     the encoded picture
     * @throws IllegalArgumentException if the name can't be a file's on every system, or the bytes don't begin as the type says
     */
    public static GltfTexture of(String name, String mediaType, byte[] bytes) {
        checkName(name);
        Objects.requireNonNull(bytes, "bytes");
        boolean fits = switch (mediaType) {
            case "image/png" -> begins(bytes, 0x89, 'P', 'N', 'G', '\r', '\n', 0x1a, '\n');
            case "image/jpeg" -> begins(bytes, 0xff, 0xd8, 0xff);
            default -> throw new IllegalArgumentException("mediaType = " + mediaType + " must be image/png or image/jpeg");
        };
        if (!fits) {
            throw new IllegalArgumentException("the bytes of texture " + name + " are no " + mediaType);
        }
        return new GltfTexture(name, mediaType, bytes);
    }

    /** Returns a texture of a PNG file's bytes; as {@link #of}. */
    public static GltfTexture png(String name, byte[] bytes) {
        return of(name, "image/png", bytes);
    }

    private static void checkName(String name) {
        boolean good = !name.isBlank() && name.equals(name.strip()) && !name.startsWith(".") && !name.endsWith(".");
        for (int i = 0; good && i < name.length(); i++) {
            good = !Character.isISOControl(name.charAt(i)) && REFUSED.indexOf(name.charAt(i)) < 0;
        }
        if (!good) {
            throw new IllegalArgumentException(
                    "name = \"" + name + "\" must be a file's name without its ending: not empty, no dot or blank at its"
                            + " ends, none of " + REFUSED);
        }
    }

    private static boolean begins(byte[] bytes, int... with) {
        for (int i = 0; i < with.length; i++) {
            if (i >= bytes.length || (bytes[i] & 0xff) != with[i]) {
                return false;
            }
        }
        return true;
    }

    /** Returns the name, without an ending. */
    public String name() {
        return name;
    }

    /** Returns the name of the file that it becomes where it is written beside the model. */
    public String fileName() {
        return name + (mediaType.equals("image/png") ? ".png" : ".jpg");
    }

    /** Returns {@code image/png} or {@code image/jpeg}. */
    public String mediaType() {
        return mediaType;
    }

    /** Returns the encoded picture; not to be changed. */
    public byte[] bytes() {
        return bytes;
    }

    @Override
    public String toString() {
        return fileName() + ", " + bytes.length + " bytes";
    }
}
