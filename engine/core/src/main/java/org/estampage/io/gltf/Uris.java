package org.estampage.io.gltf;

import java.io.ByteArrayOutputStream;
import java.nio.charset.StandardCharsets;
import java.util.Locale;
import org.jspecify.annotations.Nullable;

/**
 * File names as relative references.
 *
 * @source RFC 3986, 2.1, 2.3 and 4.2 (from memory)
 */
final class Uris {
    private static final String PLAIN = "-._~/";

    private Uris() {
    }

    /** Returns a file's name, folders divided by slashes, as a reference. */
    static String encoded(String name) {
        StringBuilder out = new StringBuilder();
        for (byte b : name.getBytes(StandardCharsets.UTF_8)) {
            char c = (char) (b & 0xff);
            if (c < 128 && (Character.isLetterOrDigit(c) || PLAIN.indexOf(c) >= 0)) {
                out.append(c);
            } else {
                out.append(String.format(Locale.ROOT, "%%%02X", (int) c));
            }
        }
        return out.toString();
    }

    /** Returns the file's name that a reference stands for; null where it has a scheme, an authority, a query or a fragment, or is none. */
    static @Nullable String decoded(String reference) {
        int firstSlash = reference.indexOf('/');
        int colon = reference.indexOf(':');
        boolean scheme = colon >= 0 && (firstSlash < 0 || colon < firstSlash);
        if (scheme || reference.isEmpty() || firstSlash == 0 || reference.indexOf('?') >= 0 || reference.indexOf('#') >= 0) {
            return null;
        }
        ByteArrayOutputStream out = new ByteArrayOutputStream(reference.length());
        byte[] bytes = reference.getBytes(StandardCharsets.UTF_8);
        for (int i = 0; i < bytes.length; i++) {
            int high = bytes[i] == '%' && i + 2 < bytes.length ? Character.digit(bytes[i + 1], 16) : -1;
            int low = high < 0 ? -1 : Character.digit(bytes[i + 2], 16);
            out.write(low < 0 ? bytes[i] : high << 4 | low);
            i += low < 0 ? 0 : 2;
        }
        String name = out.toString(StandardCharsets.UTF_8);
        return name.indexOf('\0') >= 0 ? null : name;
    }

    static boolean isData(String reference) {
        return reference.regionMatches(true, 0, "data:", 0, 5);
    }
}
