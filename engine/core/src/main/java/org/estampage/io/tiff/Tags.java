package org.estampage.io.tiff;

/**
 * Numbers of the format: tags, field types and the values that are used here.
 *
 * @source Adobe, TIFF Revision 6.0, 1992; Adobe TIFF Technical Notes, 2002 (deflate); TIFF Technical Note 3, 2005 (the predictor of floats);
 *         ICC.1 (the profile's tag)
 */
final class Tags {
    static final int WIDTH = 256;
    static final int HEIGHT = 257;
    static final int BITS = 258;
    static final int COMPRESSION = 259;
    static final int PHOTOMETRIC = 262;
    static final int DESCRIPTION = 270;
    static final int STRIP_OFFSETS = 273;
    static final int ORIENTATION = 274;
    static final int CHANNELS = 277;
    static final int ROWS_PER_STRIP = 278;
    static final int STRIP_BYTES = 279;
    static final int PLANAR = 284;
    static final int SOFTWARE = 305;
    static final int PREDICTOR = 317;
    static final int TILE_WIDTH = 322;
    static final int TILE_HEIGHT = 323;
    static final int TILE_OFFSETS = 324;
    static final int TILE_BYTES = 325;
    static final int EXTRA = 338;
    static final int SAMPLE_FORMAT = 339;
    static final int PROFILE = 34675;

    static final int ASCII = 2;
    static final int SHORT = 3;
    static final int LONG = 4;
    static final int UNDEFINED = 7;

    static final int PLAIN = 1;
    static final int LZW = 5;
    static final int DEFLATE = 8;
    static final int OLD_DEFLATE = 32946;
    static final int PACK_BITS = 32773;

    static final int NO_PREDICTOR = 1;
    static final int DIFFERENCES = 2;
    static final int FLOAT_DIFFERENCES = 3;

    static final int WHITE_IS_ZERO = 0;
    static final int BLACK_IS_ZERO = 1;
    static final int RGB = 2;

    static final int UNSIGNED = 1;
    static final int FLOAT = 3;

    static final int UNSPECIFIED = 0;
    static final int ALPHA = 2;

    private Tags() {
    }
}
