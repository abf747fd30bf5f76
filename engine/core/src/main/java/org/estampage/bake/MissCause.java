package org.estampage.bake;

/** Why a sample met nothing. A closed set, numbered from 1. */
public enum MissCause {
    /** Only backs of the high poly are there: it is turned inside out, or its inside shows through a hole. */
    BACK_FACES(1, "missed-back-faces", 0xED8B8B),
    /** A face that would count lies farther in than the ray goes. */
    BEYOND_REACH(2, "missed-beyond-reach", 0xD2A249),
    /** A face that would count lies farther out than the cage. */
    OUTSIDE_CAGE(3, "missed-outside-cage", 0x81BD74),
    /** The part's own high poly has no surface on the whole line, another part has some between the cage and the end of the ray. */
    OTHER_PART(4, "missed-other-part", 0x24C1C9),
    /** There is no surface on the whole line. */
    NOTHING(5, "missed-nothing", 0x7EABF6),
    /** The cage lies on the low poly, and its directions cancel out: there is no ray. */
    NO_DIRECTION(6, "missed-no-direction", 0xCC91DA);

    private final int number;
    private final String kind;
    private final int colour;

    MissCause(int number, String kind, int colour) {
        this.number = number;
        this.kind = kind;
        this.colour = colour;
    }

    /** Returns the kind of the finding that counts such samples. */
    public String kind() {
        return kind;
    }

    /** Returns the number in {@link BakedTile#missCauses}: 1 … 6. */
    public int number() {
        return number;
    }

    /** Returns the cause of a number, 1 … 6. */
    static MissCause of(int number) {
        for (MissCause cause : values()) {
            if (cause.number == number) {
                return cause;
            }
        }
        throw new IllegalArgumentException("number = " + number + " must be 1 … " + values().length);
    }

    /** Returns the place in arrays of one entry a cause. */
    int index() {
        return number - 1;
    }

    /** Returns a channel of the colour in {@link BakedTile#missPicture}, as stored: 0 … 1. The colours have the same lightness, and hues 60° apart. */
    float colour(int channel) {
        return (colour >> (16 - 8 * channel) & 0xFF) / 255f;
    }
}
