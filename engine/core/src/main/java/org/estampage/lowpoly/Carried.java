package org.estampage.lowpoly;

import java.util.Arrays;
import org.estampage.mesh.Attribute;

/**
 * One attribute on its way through decimation: a value a wedge.
 *
 * @threads confined
 */
final class Carried {
    private final Attribute source;
    final int components;
    /** Values, {@link #components} a wedge. */
    final float[] value;
    private final boolean isNumber;

    Carried(Attribute source, Wedges wedges) {
        this.source = source;
        components = source.components();
        value = new float[components * wedges.count];
        int[] index = source.indices();
        for (int c = 0; c < index.length; c++) {
            if (wedges.wedge[c] >= 0) {
                System.arraycopy(source.values(), components * index[c], value, components * wedges.wedge[c], components);
            }
        }
        // Numbers of bones and the like have no values in between.
        isNumber = source.storage() == Attribute.Storage.INTEGER || source.storage() == Attribute.Storage.UNSIGNED_BYTE
                || source.storage() == Attribute.Storage.UNSIGNED_SHORT;
    }

    /** Returns the value inside a triangle of wedges; whole numbers are those of the nearest corner. */
    void blend(int w0, int w1, int w2, float b1, float b2, float[] dest) {
        double b0 = 1 - (double) b1 - b2;
        if (isNumber) {
            int w = b0 >= b1 && b0 >= b2 ? w0 : b1 >= b2 ? w1 : w2;
            System.arraycopy(value, components * w, dest, 0, components);
            return;
        }
        for (int k = 0; k < components; k++) {
            dest[k] = (float) (b0 * value[components * w0 + k] + (double) b1 * value[components * w1 + k]
                    + (double) b2 * value[components * w2 + k]);
        }
    }

    /** Returns the attribute of the triangles that are left; {@code wedge} names each corner's. */
    Attribute result(int[] wedge, int wedgeCount) {
        int[] number = new int[wedgeCount];
        Arrays.fill(number, -1);
        int[] indices = new int[wedge.length];
        int count = 0;
        for (int c = 0; c < wedge.length; c++) {
            int w = wedge[c];
            if (number[w] < 0) {
                number[w] = count++;
            }
            indices[c] = number[w];
        }
        float[] values = new float[components * count];
        for (int w = 0; w < wedgeCount; w++) {
            if (number[w] >= 0) {
                System.arraycopy(value, components * w, values, components * number[w], components);
            }
        }
        return new Attribute(source.name(), components, values, indices, source.storage());
    }
}
