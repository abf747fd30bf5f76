package org.estampage.benchmarks;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.TreeMap;
import java.util.stream.Stream;
import org.estampage.benchmarks.reference.NativeScene;

/**
 * The arguments of {@link Compare}, as {@code key=value}.
 *
 * @param sizes      triangles of the columns
 * @param scenes     column, terrain, bunny, elephant
 * @param work       what is measured
 * @param strategies which of the engine's ways take part
 * @param modes      which ways of the reference take part
 * @param rounds     counted rounds
 * @param threads    threads of the second measurement; 1 leaves it out
 * @param side       projection rays are its square, occlusion points a quarter of that
 * @param warm       seconds of processor time to warm up each of the engine's
 * @param quality    the reference's build
 * @param robust     whether the reference is watertight when it is timed
 * @param config     more words for the reference's device
 * @param agreement  whether answers are compared instead of times
 * @param rays       projection rays of the agreement
 */
@SuppressWarnings("ArrayRecordComponent") // never compared
record CompareOptions(int[] sizes, List<String> scenes, List<String> work, List<Contender> strategies, List<NativeScene.Mode> modes,
        int rounds,
        int threads, int side, double warm, NativeScene.Quality quality, boolean robust, String config, boolean agreement, int rays) {
    /** Pieces of work, in the order in which they are done. */
    static final List<String> WORK = List.of("projection", "occlusion", "hemispheres", "incoherent", "nearest", "build");
    /** Scenes. */
    static final List<String> SCENES = Stream.concat(Stream.of("column"), RayScene.FETCHED.stream()).toList();
    private static final Map<String, String> USUAL = new TreeMap<>(Map.ofEntries(Map.entry("sizes", "200000,2000000,8000000"),
            Map.entry("scenes", String.join(",", SCENES)), Map.entry("work", String.join(",", WORK)),
            Map.entry("strategies", String.join(",", Contender.ALL.stream().map(Contender::name).toList())),
            Map.entry("modes", String.join(",", Arrays.stream(NativeScene.Mode.values()).map(NativeScene.Mode::label).toList())),
            Map.entry("rounds", "7"), Map.entry("threads", "1"), Map.entry("side", "1024"), Map.entry("warm", "3"),
            Map.entry("quality", "medium"),
            Map.entry("robust", "no"), Map.entry("config", ""), Map.entry("agreement", "no"), Map.entry("rays", "1000000")));

    /**
     * Reads arguments.
     *
     * @throws IllegalArgumentException if one is not understood
     */
    static CompareOptions of(String... arguments) {
        Map<String, String> given = new TreeMap<>(USUAL);
        for (String argument : arguments) {
            int equals = argument.indexOf('=');
            String key = equals < 0 ? argument : argument.substring(0, equals);
            if (!USUAL.containsKey(key) || (equals < 0 && !key.equals("agreement"))) {
                throw new IllegalArgumentException(argument + " is not understood; options are " + String.join("= ", USUAL.keySet()) + "=");
            }
            given.put(key, equals < 0 ? "yes" : argument.substring(equals + 1));
        }
        List<NativeScene.Mode> modes = new ArrayList<>();
        for (String name : among("modes", given, Arrays.stream(NativeScene.Mode.values()).map(NativeScene.Mode::label).toList())) {
            modes.add(NativeScene.Mode.valueOf(name.toUpperCase(Locale.ROOT).replace('-', '_')));
        }
        int side = number("side", given, 16, 4096);
        if (Integer.bitCount(side) != 1) {
            throw new IllegalArgumentException("side = " + side + " must be a power of two");
        }
        return new CompareOptions(numbers("sizes", given, 1000, 100_000_000), among("scenes", given, SCENES), among("work", given, WORK),
                words("strategies", given).stream().map(Contender::named).toList(), modes, number("rounds", given, 1, 1000),
                number("threads", given, 1, 64), side, decimal("warm", given),
                NativeScene.Quality.valueOf(among("quality", given, List.of("low", "medium", "high")).getFirst().toUpperCase(Locale.ROOT)),
                yes("robust", given), given.getOrDefault("config", ""), yes("agreement", given), number("rays", given, 1, 1 << 30));
    }

    private static List<String> words(String key, Map<String, String> given) {
        return List.of(given.getOrDefault(key, "").split(","));
    }

    private static List<String> among(String key, Map<String, String> given, List<String> allowed) {
        List<String> words = words(key, given);
        for (String word : words) {
            if (!allowed.contains(word)) {
                throw new IllegalArgumentException(key + " = " + word + " must be one of " + String.join(", ", allowed));
            }
        }
        return words;
    }

    private static boolean yes(String key, Map<String, String> given) {
        return among(key, given, List.of("yes", "no")).getFirst().equals("yes");
    }

    private static int[] numbers(String key, Map<String, String> given, int least, int most) {
        return words(key, given).stream().mapToInt(word -> number(key, Map.of(key, word), least, most)).toArray();
    }

    private static int number(String key, Map<String, String> given, int least, int most) {
        String word = given.getOrDefault(key, "");
        try {
            int number = Integer.parseInt(word);
            if (number >= least && number <= most) {
                return number;
            }
        } catch (NumberFormatException e) {
            // Said below.
        }
        throw new IllegalArgumentException(key + " = " + word + " must be a number from " + least + " to " + most);
    }

    private static double decimal(String key, Map<String, String> given) {
        String word = given.getOrDefault(key, "");
        try {
            double number = Double.parseDouble(word);
            if (number >= 0 && number <= 60) {
                return number;
            }
        } catch (NumberFormatException e) {
            // Said below.
        }
        throw new IllegalArgumentException(key + " = " + word + " must be a number from 0 to 60");
    }
}
