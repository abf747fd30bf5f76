package org.estampage.console;

import java.util.function.UnaryOperator;
import org.estampage.handover.MapFileOptions;

/**
 * An option of {@code save}.
 *
 * @param change what it changes
 */
public record SaveOption(UnaryOperator<MapFileOptions> change) {
    static MapFileOptions all(SaveOption... options) {
        MapFileOptions result = MapFileOptions.USUAL;
        for (SaveOption option : options) {
            result = option.change().apply(result);
        }
        return result;
    }
}
