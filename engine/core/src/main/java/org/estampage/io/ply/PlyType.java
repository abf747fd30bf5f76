package org.estampage.io.ply;

import org.estampage.io.shared.BinaryInput;
import org.estampage.mesh.Attribute;
import org.jspecify.annotations.Nullable;

/** A number type of PLY, with both of its names. */
enum PlyType {
    INT8("char", "int8", 1), UINT8("uchar", "uint8", 1), INT16("short", "int16", 2), UINT16("ushort", "uint16", 2), INT32("int", "int32",
            4), UINT32("uint", "uint32", 4), FLOAT32("float", "float32", 4), FLOAT64("double", "float64", 8);

    final String oldName;
    final String newName;
    final int size;

    PlyType(String oldName, String newName, int size) {
        this.oldName = oldName;
        this.newName = newName;
        this.size = size;
    }

    static @Nullable PlyType named(String name) {
        for (PlyType type : values()) {
            if (type.oldName.equals(name) || type.newName.equals(name)) {
                return type;
            }
        }
        return null;
    }

    boolean isFloat() {
        return this == FLOAT32 || this == FLOAT64;
    }

    /** Returns what a value of 1 is stored as where the values are shares of a whole, such as colours; 1 for floats. */
    float one() {
        return this == UINT8 ? 255 : this == UINT16 ? 65535 : 1;
    }

    /** Returns how a carried attribute's numbers are stored. */
    Attribute.Storage storage() {
        return switch (this) {
            case UINT8 -> Attribute.Storage.UNSIGNED_BYTE;
            case UINT16 -> Attribute.Storage.UNSIGNED_SHORT;
            case INT8, INT16, INT32, UINT32 -> Attribute.Storage.INTEGER;
            case FLOAT32, FLOAT64 -> Attribute.Storage.FLOAT;
        };
    }

    /** Returns a whole number of this type; a float's value is not asked for. */
    long integer(byte[] b, int at, boolean bigEndian) {
        return switch (this) {
            case INT8 -> b[at];
            case UINT8 -> b[at] & 0xff;
            case INT16 -> int16(b, at, bigEndian);
            case UINT16 -> int16(b, at, bigEndian) & 0xffff;
            case INT32 -> int32(b, at, bigEndian);
            case UINT32 -> int32(b, at, bigEndian) & 0xffff_ffffL;
            case FLOAT32, FLOAT64 -> throw new IllegalStateException(this + " is not a whole number");
        };
    }

    static short int16(byte[] b, int at, boolean bigEndian) {
        short value = BinaryInput.shortAt(b, at);
        return bigEndian ? Short.reverseBytes(value) : value;
    }

    static int int32(byte[] b, int at, boolean bigEndian) {
        int value = BinaryInput.intAt(b, at);
        return bigEndian ? Integer.reverseBytes(value) : value;
    }

    static double float64(byte[] b, int at, boolean bigEndian) {
        long value = BinaryInput.longAt(b, at);
        return Double.longBitsToDouble(bigEndian ? Long.reverseBytes(value) : value);
    }
}
