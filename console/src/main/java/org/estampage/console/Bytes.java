package org.estampage.console;

import java.util.Locale;

/** Numbers of bytes for people. */
final class Bytes {
    private static final String[] UNITS = {"bytes", "KiB", "MiB", "GiB", "TiB"};

    private Bytes() {
    }

    /** Returns a number of bytes in the unit of IEC 80000-13 that leaves it between 1 and 1024. */
    static String text(long bytes) {
        double value = bytes;
        int unit = 0;
        while (value >= 1024 && unit < UNITS.length - 1) {
            value /= 1024;
            unit++;
        }
        return unit == 0
                ? bytes + (bytes == 1 ? " byte" : " bytes")
                : String.format(Locale.ROOT, value < 10 ? "%.1f %s" : "%.0f %s", value, UNITS[unit]);
    }
}
