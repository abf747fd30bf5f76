package org.estampage.examples.editor.drawing;

import org.estampage.image.Encoding;

/**
 * Turns raw values into pixels: what a file of 8 bits would show.
 *
 * @threads immutable
 */
public final class TexelColours {
    private final Encoding encoding;
    private final int channel;

    /**
     * Makes the colours of a map.
     *
     * @param channel which channel alone, as grey; {@link MapLook#ALL} for all
     */
    public TexelColours(Encoding encoding, int channel) {
        this.encoding = encoding;
        this.channel = channel;
    }

    /**
     * Returns an opaque pixel, 0xAARRGGBB.
     *
     * @param raw a texel's channels, from {@code at} on
     */
    public int argb(float[] raw, int at) {
        if (channel != MapLook.ALL || encoding.channels() < 3) {
            int only = Math.max(channel, 0);
            return 0xFF000000 | (encoding.quantise(only, raw[at + only], 8) * 0x010101);
        }
        return 0xFF000000 | (encoding.quantise(0, raw[at], 8) << 16) | (encoding.quantise(1, raw[at + 1], 8) << 8)
                | encoding.quantise(2, raw[at + 2], 8);
    }
}
