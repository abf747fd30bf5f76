package org.estampage.console;

import java.io.IOException;
import java.lang.reflect.Array;
import java.lang.reflect.Field;
import java.lang.reflect.Method;
import java.lang.reflect.Modifier;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.Collection;
import java.util.Comparator;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalDouble;
import java.util.OptionalInt;
import java.util.StringJoiner;
import java.util.function.Function;
import java.util.function.UnaryOperator;
import java.util.stream.Collectors;
import org.estampage.bake.BakeResult;
import org.estampage.bake.BakedMap;
import org.estampage.bake.BakedTile;
import org.estampage.bake.MapFormat;
import org.estampage.bake.SurfaceMap;
import org.estampage.bvh.RayTracer;
import org.estampage.cage.Cage;
import org.estampage.cage.CageSource;
import org.estampage.finding.Finding;
import org.estampage.finding.Findings;
import org.estampage.finding.Severity;
import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.image.ImageSource;
import org.estampage.image.Range;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Bounds;
import org.estampage.mesh.Material;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.MeshSource;
import org.estampage.mesh.Part;
import org.estampage.task.Task;
import org.jspecify.annotations.Nullable;

/** Values as the prompt prints them: what somebody wants to know of them first, on a few lines. */
final class Shown {
    private static final int MOST_ENTRIES = 20;
    private static final int MOST_LETTERS = 4000;
    private static final int MOST_NUMBERS = 8;
    private static final int MOST_NAMES = 8;
    /** A bake's call holds a job's builder, and no builder holds another. */
    private static final int DEEPEST = 2;
    /** Fields of descriptions that only programs set. */
    private static final List<Class<?>> FOR_PROGRAMS = List.of(Task.class, RayTracer.class, Session.class);

    private Shown() {
    }

    /** Returns a value as text of one or more lines, without a line end. */
    static String of(@Nullable Object value) {
        return of(value, path -> path);
    }

    /**
     * Returns a value as text.
     *
     * @param resolve where a relative path lies, to tell a file's size
     */
    static String of(@Nullable Object value, UnaryOperator<Path> resolve) {
        try {
            return switch (value) {
                case null -> "null";
                case Mesh mesh -> mesh(mesh);
                case Cage cage -> cage(cage);
                case BakeResult result -> result(result);
                case BakedTile tile -> tile(tile);
                case BakedMap map -> map.name() + ": " + image(map.image());
                case FloatImage image -> image(image);
                case Findings findings -> findings(findings);
                case SurfaceMap map -> map(map);
                case SaveOption option -> "an option of save(…)";
                case Character c -> "'" + c + "'";
                case Bounds bounds -> bounds(bounds);
                case String text -> text(text);
                case Optional<?> optional -> optional.map(v -> of(v, resolve)).orElse("nothing");
                case Collection<?> all -> all(all, resolve);
                case Map<?, ?> map -> entries(map);
                default -> value.getClass().isArray() ? array(value) : other(value);
            };
        } catch (RuntimeException e) {
            return value.getClass().getSimpleName() + ", which can't be shown: " + e;
        }
    }

    /** Returns a value as one line. */
    static String line(@Nullable Object value) {
        String text = of(value);
        int end = text.indexOf('\n');
        return end < 0 ? text : text.substring(0, end).stripTrailing();
    }

    private static String mesh(Mesh mesh) {
        Bounds bounds = mesh.bounds();
        Lines lines = new Lines(String.format(Locale.ROOT, "%s: %s, %s", mesh.title(), count(mesh.triangleCount(), "triangle"),
                count(mesh.vertexCount(), "vertex", "vertices")));
        if (!bounds.isEmpty()) {
            lines.add("size", size(bounds) + ", " + bounds(bounds));
        }
        lines.add("normals", mesh.normals().isPresent() ? "yes" : "none; smooth(…), hardEdges(…) make some");
        lines.add("UVs", mesh.uvSets().isEmpty() ? "none; unwrap(…) makes some" : names(mesh.uvSets(), Attribute::name));
        if (!mesh.colourSets().isEmpty()) {
            lines.add("colours", names(mesh.colourSets(), Attribute::name));
        }
        if (mesh.parts().size() > 1) {
            lines.add("parts", mesh.parts().size() + ": " + names(mesh.parts(), Part::name));
        }
        if (!mesh.materials().isEmpty()) {
            lines.add("materials", mesh.materials().size() + ": " + names(mesh.materials(), Material::name));
        }
        if (!mesh.findings().isEmpty()) {
            lines.add("findings", counted(mesh.findings()) + "; .findings() has them");
        }
        return lines.text();
    }

    private static String size(Bounds b) {
        return String.format(Locale.ROOT, "%s × %s × %s", number((double) b.maxX() - b.minX()), number((double) b.maxY() - b.minY()),
                number((double) b.maxZ() - b.minZ()));
    }

    private static String bounds(Bounds b) {
        return b.isEmpty()
                ? "nothing"
                : String.format(Locale.ROOT, "from (%s, %s, %s) to (%s, %s, %s)", number(b.minX()), number(b.minY()), number(b.minZ()),
                        number(b.maxX()), number(b.maxY()), number(b.maxZ()));
    }

    private static String cage(Cage cage) {
        float[] low = cage.low().positions(), out = cage.positions();
        double least = Double.POSITIVE_INFINITY;
        for (int i = 0; i + 2 < low.length; i += 3) {
            double x = (double) out[i] - low[i], y = (double) out[i + 1] - low[i + 1], z = (double) out[i + 2] - low[i + 2];
            least = Math.min(least, Math.sqrt(x * x + y * y + z * z));
        }
        Lines lines = new Lines("cage around " + cage.low().title() + ": " + count(cage.low().vertexCount(), "vertex", "vertices"));
        lines.add("outwards", number(least) + " to " + number(cage.largestOffset()) + ", " + number(cage.meanOffset()) + " on average");
        lines.add("inwards", "up to " + number(cage.largestReach()));
        lines.add("conflicts", cage.conflicts().isEmpty()
                ? "none"
                : cage.conflicts().size() + "; .conflicts() has them, show(cagePicture(low, high, c)) marks them");
        if (!cage.findings().isEmpty()) {
            lines.add("findings", counted(cage.findings()) + "; .findings() has them");
        }
        return lines.text();
    }

    private static String result(BakeResult result) {
        var job = result.job();
        StringBuilder text = new StringBuilder();
        text.append(String.format(Locale.ROOT, "bake of %s onto %s: %d × %d texels, %d × %d samples%n",
                names(job.highs(), Mesh::name), job.low().name(), job.width(), job.height(), job.samplesPerSide(), job.samplesPerSide()));
        boolean several = result.tiles().size() > 1;
        for (BakedTile tile : result.tiles()) {
            if (several) {
                text.append(
                        String.format(Locale.ROOT, "tile %d: %,d texels covered, %,d of them missed%n", tile.number(), tile.coveredCount(),
                                tile.missedCount()));
            }
        }
        text.append(mapTable(result.tiles().getFirst().maps()));
        text.append(String.format(Locale.ROOT, "covered %s, %.1f %%; missed %s%n", count(result.coveredCount(), "texel"),
                100.0 * result.coveredCount() / ((double) job.width() * job.height() * result.tiles().size()),
                count(result.missedCount(), "texel")));
        long rays = result.projectionRayCount() + result.hemisphereRayCount();
        double seconds = result.time("bake").toNanos() * 1e-9;
        text.append(String.format(Locale.ROOT, "%,d rays%s%n", rays,
                seconds > 0 ? String.format(Locale.ROOT, ", %.2f million a second", rays / seconds * 1e-6) : ""));
        text.append(result.stages().stream().map(s -> String.format(Locale.ROOT, "%s %.2f s", s.name(), s.time().toNanos() * 1e-9))
                .collect(Collectors.joining(", "))).append(System.lineSeparator());
        text.append(result.findings().isEmpty() ? "no findings" : findings(result.findings()));
        return text.toString();
    }

    private static String tile(BakedTile tile) {
        return String.format(Locale.ROOT, "tile %d: %,d texels covered, %,d of them missed%n", tile.number(), tile.coveredCount(),
                tile.missedCount()) + mapTable(tile.maps()).stripTrailing();
    }

    private static String mapTable(List<BakedMap> maps) {
        int widest = maps.stream().map(BakedMap::name).mapToInt(String::length).max().orElse(0);
        StringBuilder text = new StringBuilder();
        for (BakedMap map : maps) {
            FloatImage image = map.image();
            text.append(String.format(Locale.ROOT, "  %-" + widest + "s  %d × %d  %-10s  %2d bits  %s%n", map.name(), image.width(),
                    image.height(), count(image.channels(), "channel"), map.bits(), ranges(image.encoding())));
        }
        return text.toString();
    }

    private static String ranges(Encoding encoding) {
        List<Range> ranges = encoding.ranges().stream().distinct().toList();
        return ranges.stream().map(range -> number(range.atZero()) + " to " + number(range.atOne())).collect(Collectors.joining(", "));
    }

    private static String image(FloatImage image) {
        Encoding encoding = image.encoding();
        StringBuilder text = new StringBuilder(String.format(Locale.ROOT, "image %d × %d, %s, %s stored from %s", image.width(),
                image.height(), count(image.channels(), "channel"), kind(encoding.kind()), ranges(encoding)));
        String[] names = channelNames(encoding);
        for (int c = 0; c < image.channels(); c++) {
            Spread spread = Spread.of(image, c);
            String finite = spread.finite == 0
                    ? "no finite value"
                    : String.format(Locale.ROOT, "%s to %s, %s on average", number(spread.least), number(spread.most),
                            number(spread.mean()));
            text.append(System.lineSeparator()).append(String.format(Locale.ROOT, "  %-6s %s%s", names[c], finite,
                    spread.notFinite == 0 || spread.finite == 0 ? "" : ", " + count(spread.notFinite, "value") + " not finite"));
        }
        return text.toString();
    }

    private static String kind(Encoding.Kind kind) {
        return switch (kind) {
            case DATA -> "data";
            case NORMAL -> "normals";
            case ID -> "identifiers";
            case COLOUR -> "linear colour";
        };
    }

    private static String[] channelNames(Encoding encoding) {
        if (encoding.kind() == Encoding.Kind.NORMAL) {
            return new String[] {"x", "y", "z", "w"};
        }
        return encoding.channels() <= 2 ? new String[] {"value", "second"} : new String[] {"red", "green", "blue", "alpha"};
    }

    /** Least, most and mean of one channel, of its finite values. */
    private static final class Spread {
        double least = Double.POSITIVE_INFINITY;
        double most = Double.NEGATIVE_INFINITY;
        double sum;
        long finite;
        long notFinite;

        static Spread of(FloatImage image, int channel) {
            Spread spread = new Spread();
            float[] row = new float[image.width() * image.channels()];
            for (int y = 0; y < image.height(); y++) {
                image.read(0, y, image.width(), 1, row);
                for (int i = channel; i < row.length; i += image.channels()) {
                    spread.add(row[i]);
                }
            }
            return spread;
        }

        private void add(float v) {
            if (Float.isFinite(v)) {
                least = Math.min(least, v);
                most = Math.max(most, v);
                sum += v;
                finite++;
            } else {
                notFinite++;
            }
        }

        double mean() {
            return sum / finite;
        }
    }

    private static String findings(Findings findings) {
        if (findings.isEmpty()) {
            return "no findings";
        }
        StringBuilder text = new StringBuilder(counted(findings));
        for (Finding finding : findings) {
            text.append(System.lineSeparator()).append(Help.hanging("  " + finding.severity().name().toLowerCase(Locale.ROOT) + " ",
                    List.of((finding.kind() + ": " + withoutSeverity(finding)).split(" ")), " ").stripTrailing());
        }
        return text.toString();
    }

    private static String withoutSeverity(Finding finding) {
        String text = finding.toString();
        return text.substring(text.indexOf(": ") + 2);
    }

    private static String counted(Findings findings) {
        StringJoiner kinds = new StringJoiner(", ", " (", ")");
        for (Severity severity : Severity.values()) {
            long n = findings.stream().filter(f -> f.severity() == severity).count();
            if (n > 0) {
                kinds.add(count(n, severity.name().toLowerCase(Locale.ROOT)));
            }
        }
        return count(findings.size(), "finding") + kinds;
    }

    private static String map(SurfaceMap map) {
        MapFormat format = map.format();
        StringBuilder text = new StringBuilder(String.format(Locale.ROOT, "map %s: described; bake(…).maps(…) bakes it%n", map.name()));
        text.append(String.format(Locale.ROOT, "  %s of %s, %d bits in files", count(format.channels(), "channel"), kind(format.kind()),
                format.bits()));
        map.details().forEach((name, value) -> text.append(System.lineSeparator()).append("  ").append(name).append(": ").append(value));
        return text.toString();
    }

    private static String text(String text) {
        String shown = text.length() <= MOST_LETTERS
                ? text
                : text.substring(0, MOST_LETTERS) + String.format(Locale.ROOT, " … (%,d letters in all)", text.length());
        return text.indexOf('\n') >= 0 ? shown.stripTrailing() : "\"" + shown + "\"";
    }

    private static String all(Collection<?> all, UnaryOperator<Path> resolve) {
        if (all.isEmpty()) {
            return "empty";
        }
        boolean paths = all.stream().allMatch(Path.class::isInstance);
        StringJoiner lines = new StringJoiner(System.lineSeparator());
        int i = 0;
        for (Object entry : all) {
            if (i == MOST_ENTRIES) {
                lines.add(String.format(Locale.ROOT, "… and %,d more", all.size() - i));
                break;
            }
            lines.add(paths ? path((Path) entry, resolve) : "[" + i + "] " + line(entry));
            i++;
        }
        return lines.toString();
    }

    private static String path(Path path, UnaryOperator<Path> resolve) {
        try {
            return path + ", " + Bytes.text(Files.size(resolve.apply(path)));
        } catch (IOException e) {
            return path + ", not there";
        }
    }

    private static String entries(Map<?, ?> map) {
        if (map.isEmpty()) {
            return "empty";
        }
        return map.entrySet().stream().limit(MOST_ENTRIES).map(e -> e.getKey() + ": " + line(e.getValue()))
                .collect(Collectors.joining(System.lineSeparator()))
                + (map.size() > MOST_ENTRIES ? String.format(Locale.ROOT, "%n… and %,d more", map.size() - MOST_ENTRIES) : "");
    }

    private static String array(Object array) {
        int length = Array.getLength(array);
        StringJoiner values = new StringJoiner(", ");
        for (int i = 0; i < Math.min(length, MOST_NUMBERS); i++) {
            values.add(line(Array.get(array, i)));
        }
        return String.format(Locale.ROOT, "%s[%d]: %s%s", array.getClass().getComponentType().getSimpleName(), length, values,
                length > MOST_NUMBERS ? String.format(Locale.ROOT, ", … and %,d more", length - MOST_NUMBERS) : "");
    }

    private static String other(Object value) {
        Class<?> type = value.getClass();
        if (!Members.isOurs(type) || hasOwnText(type)) {
            String text = text(String.valueOf(value));
            return text.startsWith("\"") ? text.substring(1, text.length() - 1) : text;
        }
        return description(value);
    }

    private static boolean hasOwnText(Class<?> type) {
        if (type == OffsetCage.class) {
            return false;
        }
        try {
            return type.getMethod("toString").getDeclaringClass() != Object.class;
        } catch (NoSuchMethodException e) {
            throw new IllegalStateException(e); // every class has it
        }
    }

    /** Returns what waits to be carried out, with its settings. */
    private static String description(Object value) {
        Class<?> type = Members.publicType(value.getClass());
        List<String> ways = List.of("run", "build", "offset");
        String how = Members.questions(type).stream().filter(m -> ways.contains(m.getName()))
                .min(Comparator.comparingInt((Method m) -> ways.indexOf(m.getName())))
                .map(m -> String.format(": described, not carried out; .%s%s gives a %s, help(…) lists its options", m.getName(),
                        m.getParameterCount() == 0 ? "()" : "(…)", Members.simpleName(m.getGenericReturnType())))
                .orElse("");
        Lines lines = new Lines(Members.simpleName(type) + how);
        settings(value, lines, 0);
        return lines.text();
    }

    /** Adds the settings that a description holds in its own fields and in those of the builders that it holds. */
    private static void settings(Object value, Lines inoutLines, int depth) {
        for (Class<?> c = value.getClass(); c != null && Members.isOurs(c); c = c.getSuperclass()) {
            for (Field field : c.getDeclaredFields()) {
                boolean ownState = c.getPackage() == Shown.class.getPackage() && field.getType() == boolean.class;
                if (Modifier.isStatic(field.getModifiers()) || field.isSynthetic() || ownState || FOR_PROGRAMS.contains(field.getType())) {
                    continue;
                }
                Object set = held(field, value);
                if (set != null && depth < DEEPEST && isBuilder(set)) {
                    settings(set, inoutLines, depth + 1);
                } else {
                    add(field.getName(), set, inoutLines);
                }
            }
        }
    }

    private static void add(String name, @Nullable Object set, Lines inoutLines) {
        if (name.endsWith("Cosine") && set instanceof Double cosine && Math.abs(cosine) <= 1) {
            // It was given in degrees, and is kept as it is used.
            inoutLines.add(words(name.replace("Cosine", "AboveDegrees")), number(Math.toDegrees(Math.acos(cosine))));
        } else if (!name.endsWith("Cosine")) {
            setting(set).ifPresent(text -> inoutLines.add(words(name), text));
        }
    }

    /** Returns what a field holds; null where it is closed to the console, too. */
    private static @Nullable Object held(Field field, Object owner) {
        try {
            field.setAccessible(true);
            return field.get(owner);
        } catch (ReflectiveOperationException | RuntimeException e) {
            return null;
        }
    }

    /** Returns whether a setting is itself a description of settings, not what is worked on. */
    private static boolean isBuilder(Object value) {
        Class<?> type = value.getClass();
        return Members.isOurs(type) && !type.isRecord() && !type.isEnum() && !type.isSynthetic() && !hasOwnText(type)
                && !(value instanceof MeshSource) && !(value instanceof CageSource) && !(value instanceof ImageSource);
    }

    /** Returns an option's value; nothing for what was not set. */
    private static Optional<String> setting(@Nullable Object set) {
        return switch (set) {
            case null -> Optional.empty();
            case Boolean b -> b ? Optional.of("yes") : Optional.empty();
            case Number n -> isSet(n) ? Optional.of(number(n.doubleValue())) : Optional.empty();
            case OptionalDouble o -> o.isPresent() ? Optional.of(number(o.getAsDouble())) : Optional.empty();
            case OptionalInt o -> o.isPresent() ? Optional.of(Integer.toString(o.getAsInt())) : Optional.empty();
            case Optional<?> o -> o.flatMap(Shown::setting);
            case Enum<?> e -> Optional.of(e.name());
            case Mesh mesh -> Optional.of(mesh.name());
            case MeshSource source -> Optional.of(worked(source));
            case CageSource source -> Optional.of(line(source));
            case FloatImage image -> Optional.of(image.width() + " × " + image.height());
            case String text -> text.isEmpty() ? Optional.empty() : Optional.of(text);
            case SaveOption option -> Optional.empty();
            case SurfaceMap map -> Optional.of(map.name());
            case Collection<?> all -> all.isEmpty()
                    ? Optional.empty()
                    : Optional.of(all.stream().limit(MOST_NAMES).map(e -> setting(e).orElse("…")).collect(Collectors.joining(", ")));
            case Map<?, ?> map -> map.isEmpty() ? Optional.empty() : Optional.of(map.toString());
            default -> {
                Class<?> type = set.getClass();
                boolean told = Members.isOurs(type) && !type.isSynthetic() && hasOwnText(type) && !isUnset(set);
                yield type.isArray() ? Optional.of(array(set)) : told ? Optional.of(String.valueOf(set)) : Optional.empty();
            }
        };
    }

    /** Returns a description by its kind and what it works on: "Decimate of bollard". */
    private static String worked(MeshSource source) {
        Class<?> type = Members.publicType(source.getClass());
        for (Field field : source.getClass().getDeclaredFields()) {
            if (!Modifier.isStatic(field.getModifiers()) && held(field, source) instanceof MeshSource from) {
                return Members.simpleName(type) + " of " + (from instanceof Mesh mesh ? mesh.name() : worked(from));
            }
        }
        return Members.simpleName(type);
    }

    /** Returns whether a record of settings holds only what is not set. */
    private static boolean isUnset(Object set) {
        return set.getClass().isRecord() && Arrays.stream(set.getClass().getRecordComponents()).allMatch(part -> {
            try {
                part.getAccessor().setAccessible(true);
                return setting(part.getAccessor().invoke(set)).isEmpty();
            } catch (ReflectiveOperationException | RuntimeException e) {
                return false;
            }
        });
    }

    /** Returns whether a number says something: 0, −1, infinity and the largest integer stand for "not set" or "no bound". */
    private static boolean isSet(Number n) {
        return n.doubleValue() != 0 && n.doubleValue() != -1 && Double.isFinite(n.doubleValue()) && n.doubleValue() != Integer.MAX_VALUE;
    }

    /** Returns a field's name as words: {@code largestDistortion} as "largest distortion". */
    private static String words(String name) {
        return name.replaceAll("(?<=[a-z])(?=[A-Z])", " ").toLowerCase(Locale.ROOT);
    }

    /** Returns a number with at most five digits that matter. */
    static String number(double value) {
        if (value == Math.rint(value) && Math.abs(value) < 1e7) {
            return String.format(Locale.ROOT, "%,d", (long) value);
        }
        String text = String.format(Locale.ROOT, Math.abs(value) < 1e-3 || Math.abs(value) >= 1e7 ? "%.3e" : "%.5g", value);
        return text.contains("e") || !text.contains(".") ? text : text.replaceAll("0+$", "").replaceAll("\\.$", "");
    }

    private static String count(long n, String one) {
        return count(n, one, one + "s");
    }

    private static String count(long n, String one, String many) {
        return String.format(Locale.ROOT, "%,d %s", n, n == 1 ? one : many);
    }

    private static <T> String names(List<T> all, Function<T, String> name) {
        return all.stream().limit(MOST_NAMES).map(name).collect(Collectors.joining(", "))
                + (all.size() > MOST_NAMES ? String.format(Locale.ROOT, ", … and %,d more", all.size() - MOST_NAMES) : "");
    }

    /** A head and labelled lines under it. */
    private static final class Lines {
        private static final int LABEL = 10;
        private final String head;
        private final List<String[]> rows = new ArrayList<>();

        Lines(String head) {
            this.head = head;
        }

        void add(String label, String text) {
            rows.add(new String[] {label, text});
        }

        String text() {
            int widest = Math.max(LABEL, rows.stream().mapToInt(row -> row[0].length()).max().orElse(0));
            StringBuilder text = new StringBuilder(head);
            for (String[] row : rows) {
                text.append(System.lineSeparator()).append("  ").append(row[0]).append(" ".repeat(widest + 1 - row[0].length()))
                        .append(row[1]);
            }
            return text.toString();
        }
    }
}
