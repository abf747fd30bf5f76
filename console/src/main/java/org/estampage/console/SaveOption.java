package org.estampage.console;

import java.util.function.UnaryOperator;
import org.estampage.handover.MapFileOptions;

/**
 * An option of {@code save}. Options come in any order; those that need a format are applied after those that choose one.
 *
 * @param change what it changes
 * @param isLate whether it comes after the others
 */
public record SaveOption(UnaryOperator<MapFileOptions> change, boolean isLate) {
    static SaveOption of(UnaryOperator<MapFileOptions> change) {
        return new SaveOption(change, false);
    }

    static SaveOption late(UnaryOperator<MapFileOptions> change) {
        return new SaveOption(change, true);
    }

    static MapFileOptions all(SaveOption... options) {
        MapFileOptions result = MapFileOptions.USUAL;
        for (boolean late : new boolean[] {false, true}) {
            for (SaveOption option : options) {
                result = option.isLate == late ? option.change().apply(result) : result;
            }
        }
        return result;
    }
}
