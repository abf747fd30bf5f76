package org.estampage.examples.editor.model;

/** The formats that maps can be saved in. */
public enum SaveFormat {
    /** Whole numbers of 8 or 16 bits, as each map needs. */
    PNG("PNG, 8 or 16 bits", "png"),
    /** The same in another container. */
    TIFF("TIFF, 8 or 16 bits", "tif"),
    /** Floats, raw values. */
    EXR("EXR, 32-bit floats", "exr"),
    /** 8 bits. */
    TGA("TGA, 8 bits", "tga");

    private final String title;
    private final String ending;

    SaveFormat(String title, String ending) {
        this.title = title;
        this.ending = ending;
    }

    /** Returns the file ending. */
    public String ending() {
        return ending;
    }

    /** Returns the name for people. */
    @Override
    public String toString() {
        return title;
    }
}
