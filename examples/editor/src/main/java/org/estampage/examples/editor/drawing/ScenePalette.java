package org.estampage.examples.editor.drawing;

/**
 * The colours of the 3D view, each 0xRRGGBB.
 *
 * @param above   the background on top
 * @param below   the background at the bottom
 * @param shell   the cage's surface
 * @param line    the cage's lines
 * @param outside high poly that no ray of the cage sees
 */
public record ScenePalette(int above, int below, int shell, int line, int outside) {
    /** For light windows. */
    public static final ScenePalette LIGHT = new ScenePalette(0xF4F6F7, 0xCFD6DA, 0x2F8FA3, 0x12657A, 0xE8590C);
    /** For dark windows. */
    public static final ScenePalette DARK = new ScenePalette(0x3A4147, 0x1C2024, 0x4FB3C8, 0x8ADCEB, 0xFF7A2F);
}
