package org.estampage.io.exr;

import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import org.estampage.image.Encoding;
import org.estampage.image.Range;

/**
 * Which channels are one map: layer and channel with a dot between.
 *
 * @threads stateless
 * @source OpenEXR technical introduction, "Layers" (channels of a layer carry its name and a dot; R, G, B, A, Y, Z have a fixed meaning)
 */
final class LayerNames {
    /** Sets of channels that belong together, the fullest first: what {@link #channelsOf} gives, and pictures where a channel is missing. */
    private static final List<List<String>> TOGETHER = List.of(List.of("R", "G", "B", "A"), List.of("X", "Y", "Z"), List.of("Y", "A"));

    private LayerNames() {
    }

    /** One map to be read: its name and the places of its channels in the file's list. */
    record Plan(String name, List<Integer> channels) {
    }

    /**
     * Returns the names of a map's channels, in their order there: R, G, B, A; or Y, and Y with A, where there are one or two. In a named layer
     * normals, and other data that are not shares between 0 and 1, are vectors: X, Y, Z.
     */
    static List<String> channelsOf(ExrLayer layer) {
        Encoding encoding = layer.image().encoding();
        int count = encoding.channels();
        boolean isVector = encoding.kind() == Encoding.Kind.NORMAL
                || (encoding.kind() == Encoding.Kind.DATA && !encoding.ranges().stream().allMatch(Range.UNIT::equals));
        if (isVector && !layer.name().isEmpty() && (count == 2 || count == 3)) {
            return List.of("X", "Y", "Z").subList(0, count);
        }
        return switch (count) {
            case 1 -> List.of("Y");
            case 2 -> List.of("Y", "A");
            default -> List.of("R", "G", "B", "A").subList(0, count);
        };
    }

    /** Returns a channel's whole name. */
    static String join(String layer, String channel) {
        return layer.isEmpty() ? channel : layer + "." + channel;
    }

    /**
     * Returns the maps that a file's channels are. A channel that does not go with its layer's others is a map of its own, with its whole name.
     *
     * @param channels a file's channels, sorted
     */
    static List<Plan> plans(List<Channel> channels) {
        Map<String, Map<String, Integer>> layers = new LinkedHashMap<>();
        layers.put("", new LinkedHashMap<>());
        for (int i = 0; i < channels.size(); i++) {
            String name = channels.get(i).name();
            int dot = name.lastIndexOf('.');
            String layer = dot <= 0 ? "" : name.substring(0, dot);
            String channel = dot <= 0 ? name : name.substring(dot + 1);
            layers.computeIfAbsent(layer, l -> new LinkedHashMap<>()).put(channel, i);
        }
        List<Plan> plans = new ArrayList<>();
        layers.forEach((layer, places) -> {
            List<Integer> together = together(places);
            if (!together.isEmpty()) {
                plans.add(new Plan(layer, together));
            }
            for (int alone : places.values()) {
                if (!together.contains(alone)) {
                    plans.add(new Plan(channels.get(alone).name(), List.of(alone)));
                }
            }
        });
        return plans;
    }

    private static List<Integer> together(Map<String, Integer> places) {
        for (List<String> set : TOGETHER) {
            // Alpha goes with something; Y with A is no vector, nor is a Z (a depth) beside it.
            boolean begins = set.getFirst().equals("R")
                    ? places.containsKey("R") || places.containsKey("G") || places.containsKey("B")
                    : places.containsKey(set.getFirst()) && (set.size() == 2 || places.containsKey("Y"));
            if (begins) {
                return set.stream().filter(places::containsKey).map(places::get).toList();
            }
        }
        return List.of();
    }
}
