package org.estampage.io.shared;

import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import org.estampage.finding.Finding;

/**
 * What of a mesh a format can't carry.
 *
 * @threads confined to one thread at a time
 */
public final class NotCarried {
    private static final int NAMES = 5;

    private final String format;
    private final Map<String, List<String>> items = new LinkedHashMap<>();

    /** Begins for a format. */
    public NotCarried(String format) {
        this.format = format;
    }

    /** Adds one thing, by the plural of its kind and its name. */
    public void add(String kind, String name) {
        items.computeIfAbsent(kind, k -> new ArrayList<>()).add(name);
    }

    /** Returns one finding a kind. */
    public List<Finding> findings() {
        List<Finding> list = new ArrayList<>();
        items.forEach((kind, names) -> {
            String some = String.join(", ", names.subList(0, Math.min(NAMES, names.size()))) + (names.size() > NAMES ? ", …" : "");
            list.add(Finding.warning("not-carried", names.size(), format + " does not carry these " + kind + ": " + some,
                    "save in a format that does, if they are needed", List.of()));
        });
        return list;
    }
}
