package org.estampage.io.gltf;

import org.estampage.io.shared.BinaryInput;
import org.estampage.mesh.Attribute;
import org.jspecify.annotations.Nullable;

/** A number type of glTF. */
enum ComponentType {
    BYTE(5120, 1), UNSIGNED_BYTE(5121, 1), SHORT(5122, 2), UNSIGNED_SHORT(5123, 2), UNSIGNED_INT(5125, 4), FLOAT(5126, 4);

    final int code;
    final int size;

    ComponentType(int code, int size) {
        this.code = code;
        this.size = size;
    }

    static @Nullable ComponentType of(long code) {
        for (ComponentType type : values()) {
            if (type.code == code) {
                return type;
            }
        }
        return null;
    }

    /** Returns the type that stores an attribute's numbers as they came in; whole numbers that fit none become floats. */
    static ComponentType of(Attribute attribute) {
        return switch (attribute.storage()) {
            case UNSIGNED_BYTE, UNIT_BYTE -> UNSIGNED_BYTE;
            case UNSIGNED_SHORT, UNIT_SHORT -> UNSIGNED_SHORT;
            case INTEGER -> fitsShort(attribute.values()) ? SHORT : FLOAT;
            case FLOAT -> FLOAT;
        };
    }

    private static boolean fitsShort(float[] values) {
        for (float value : values) {
            if (value != (short) value) {
                return false;
            }
        }
        return true;
    }

    /** Returns how a mesh stores numbers of this type. */
    Attribute.Storage storage(boolean normalised) {
        return switch (this) {
            case UNSIGNED_BYTE -> normalised ? Attribute.Storage.UNIT_BYTE : Attribute.Storage.UNSIGNED_BYTE;
            case UNSIGNED_SHORT -> normalised ? Attribute.Storage.UNIT_SHORT : Attribute.Storage.UNSIGNED_SHORT;
            case BYTE, SHORT -> normalised ? Attribute.Storage.FLOAT : Attribute.Storage.INTEGER;
            case UNSIGNED_INT -> Attribute.Storage.INTEGER;
            case FLOAT -> Attribute.Storage.FLOAT;
        };
    }

    /** Returns the stored number that stands for 1 where numbers are normalised; 1 for those that never are. */
    int one() {
        return switch (this) {
            case BYTE -> 127;
            case UNSIGNED_BYTE -> 255;
            case SHORT -> 32767;
            case UNSIGNED_SHORT -> 65535;
            case UNSIGNED_INT, FLOAT -> 1;
        };
    }

    /** Returns a whole number; of a float, its bits. */
    int integer(byte[] bytes, int at) {
        return switch (this) {
            case BYTE -> bytes[at];
            case UNSIGNED_BYTE -> bytes[at] & 0xff;
            case SHORT -> BinaryInput.shortAt(bytes, at);
            case UNSIGNED_SHORT -> BinaryInput.shortAt(bytes, at) & 0xffff;
            case UNSIGNED_INT, FLOAT -> BinaryInput.intAt(bytes, at);
        };
    }

    /** Returns a number as a float; normalised signed numbers don't go below −1. */
    float value(byte[] bytes, int at, boolean normalised) {
        if (this == FLOAT) {
            return BinaryInput.floatAt(bytes, at);
        }
        if (this == UNSIGNED_INT) {
            return Integer.toUnsignedLong(BinaryInput.intAt(bytes, at));
        }
        float whole = integer(bytes, at);
        return normalised ? Math.max(-1, whole / one()) : whole;
    }

    /** Puts a number; what is out of range becomes the nearest that is not. */
    void put(byte[] bytes, int at, float value, boolean normalised) {
        if (this == FLOAT) {
            BinaryInput.putFloat(bytes, at, value);
            return;
        }
        long whole = Math.round((double) value * (normalised ? one() : 1));
        switch (this) {
            case UNSIGNED_BYTE -> bytes[at] = (byte) Math.clamp(whole, 0, 255);
            case UNSIGNED_SHORT -> BinaryInput.putShort(bytes, at, (short) Math.clamp(whole, 0, 65535));
            default -> BinaryInput.putShort(bytes, at, (short) Math.clamp(whole, Short.MIN_VALUE, Short.MAX_VALUE));
        }
    }
}
