package org.estampage.maps;

import java.util.StringJoiner;

/** The text of the console's call that makes a map: {@code occlusion(64).reach(0.5)}. What a map prints, so that its options can be read and used again. */
final class MapCall {
    private final StringBuilder text;

    private MapCall(String start) {
        this.text = new StringBuilder(start);
    }

    /** Starts with the map's verb. */
    static MapCall of(String verb, Object... arguments) {
        return new MapCall("").add(verb, arguments);
    }

    /** Goes on with an option if it was chosen. */
    MapCall option(boolean chosen, String name, Object... arguments) {
        if (chosen) {
            text.append('.');
            add(name, arguments);
        }
        return this;
    }

    private MapCall add(String name, Object... arguments) {
        StringJoiner list = new StringJoiner(", ", "(", ")");
        for (Object argument : arguments) {
            list.add(argument.toString());
        }
        text.append(name).append(list);
        return this;
    }

    @Override
    public String toString() {
        return text.toString();
    }
}
