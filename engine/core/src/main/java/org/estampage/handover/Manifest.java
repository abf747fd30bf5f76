package org.estampage.handover;

import com.fasterxml.jackson.core.JsonProcessingException;
import com.fasterxml.jackson.core.util.DefaultIndenter;
import com.fasterxml.jackson.core.util.DefaultPrettyPrinter;
import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import com.fasterxml.jackson.databind.node.ArrayNode;
import com.fasterxml.jackson.databind.node.ObjectNode;
import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.security.DigestInputStream;
import java.security.MessageDigest;
import java.security.NoSuchAlgorithmException;
import java.util.ArrayList;
import java.util.HexFormat;
import java.util.List;
import java.util.Locale;
import java.util.Objects;
import java.util.Optional;
import org.estampage.bake.BakeJob;
import org.estampage.bake.BakeResult;
import org.estampage.finding.Severity;
import org.estampage.image.Range;
import org.estampage.io.format.AtomicFile;
import org.estampage.io.format.FormatException;
import org.estampage.mesh.MeshDigest;
import org.estampage.task.Task;

/**
 * What stands beside delivered maps: from which inputs and by which options they were made, how their numbers are meant, what was found, and who accepted
 * what of it. A text of JSON, the same for the same bake: enough to bake again ({@link #script}, {@link #range}) and to sign off ({@link #accepted},
 * {@link #open}).
 *
 * <p>Written with the maps and asked later:
 * {@snippet class = "org.estampage.cookbook.CookbookTest" region = "manifest"}
 *
 * @threads immutable
 * @source RFC 8259, The JavaScript Object Notation (JSON) Data Interchange Format, 2017
 */
public final class Manifest {
    /** What {@code format} says in each manifest. */
    static final String FORMAT = "estampage-manifest";

    /** The version of the layout that is written, and the latest that is read. */
    static final int VERSION = 1;

    private static final ObjectMapper JSON = new ObjectMapper();

    private final ObjectNode root;

    Manifest(ObjectNode root) {
        this.root = root;
    }

    /**
     * Returns the manifest of a bake.
     *
     * @param files where its maps are, as {@link MapFiles} wrote them; empty for maps that are not files
     */
    public static Manifest of(BakeResult result, List<WrittenMap> files) {
        return new Manifest(new ManifestText(JSON.createObjectNode(), result).root(files));
    }

    /**
     * Reads a manifest.
     *
     * @throws FormatException if it is not one, or of a later version
     * @throws IOException     if it can't be read
     */
    public static Manifest read(Path file) throws IOException {
        String name = String.valueOf(file.getFileName());
        JsonNode tree;
        try {
            tree = JSON.readTree(Files.readAllBytes(file));
        } catch (JsonProcessingException e) {
            long line = e.getLocation() == null ? 1 : e.getLocation().getLineNr();
            FormatException broken = FormatException.atLine(name, Math.max(1, line), e.getOriginalMessage(), "a manifest's JSON");
            broken.initCause(e);
            throw broken;
        }
        if (!(tree instanceof ObjectNode object) || !FORMAT.equals(object.path("format").asText())) {
            throw FormatException.ofFile(name, "is not a manifest: its \"format\" must be \"" + FORMAT + "\"");
        }
        if (!object.path("version").canConvertToInt() || object.path("version").asInt() < 1 || object.path("version").asInt() > VERSION) {
            throw FormatException.ofFile(name, "is a manifest of version " + FormatException.quote(object.path("version").asText())
                    + ", and up to version " + VERSION + " are read: use a newer engine");
        }
        new ManifestShape(name).check(object);
        return new Manifest(object);
    }

    /**
     * Returns this manifest with a file that went in, and its fingerprint.
     *
     * @param role what it was, such as {@code low} or {@code high}
     * @throws IOException if it can't be read
     */
    public Manifest input(String role, Path file) throws IOException {
        Objects.requireNonNull(role, "role");
        ObjectNode copy = root.deepCopy();
        ObjectNode input = copy.withArray("inputs").addObject();
        input.put("role", role).put("file", String.valueOf(file.getFileName())).put("bytes", Files.size(file)).put("sha256", sha256(file));
        return new Manifest(copy);
    }

    private static String sha256(Path file) throws IOException {
        try (DigestInputStream in = new DigestInputStream(Files.newInputStream(file), MessageDigest.getInstance("SHA-256"))) {
            in.transferTo(java.io.OutputStream.nullOutputStream());
            return HexFormat.of().formatHex(in.getMessageDigest().digest());
        } catch (NoSuchAlgorithmException e) {
            throw new IllegalStateException("every Java platform has SHA-256", e);
        }
    }

    /**
     * Returns this manifest with a finding accepted.
     *
     * @param kind the finding's kind
     * @param by   who accepts it
     * @param why  the reason
     * @throws IllegalArgumentException if there is no such finding, or a text is blank
     */
    public Manifest accepted(String kind, String by, String why) {
        if (by.isBlank() || why.isBlank()) {
            throw new IllegalArgumentException("by = \"" + by + "\" and why = \"" + why + "\" must say who accepts " + kind + ", and why");
        }
        ObjectNode copy = root.deepCopy();
        boolean found = false;
        for (JsonNode finding : copy.path("findings")) {
            if (finding.path("kind").asText().equals(kind)) {
                ((ObjectNode) finding).putObject("accepted").put("by", by).put("why", why);
                found = true;
            }
        }
        if (!found) {
            throw new IllegalArgumentException("kind = \"" + kind + "\" is none of the findings: " + kinds());
        }
        return new Manifest(copy);
    }

    private List<String> kinds() {
        List<String> kinds = new ArrayList<>();
        root.path("findings").forEach(finding -> kinds.add(finding.path("kind").asText()));
        return kinds;
    }

    /**
     * Returns this manifest with what was accepted in an earlier one, where the same kind of finding is no more severe and no more frequent now.
     */
    public Manifest acceptedAsIn(Manifest earlier) {
        ObjectNode copy = root.deepCopy();
        for (JsonNode now : copy.path("findings")) {
            for (JsonNode then : earlier.root.path("findings")) {
                boolean same = now.path("kind").asText().equals(then.path("kind").asText());
                boolean worse = severity(now).compareTo(severity(then)) > 0 || now.path("count").asLong() > then.path("count").asLong();
                if (same && !worse && then.has("accepted") && !now.has("accepted")) {
                    ((ObjectNode) now).set("accepted", then.get("accepted").deepCopy());
                }
            }
        }
        return new Manifest(copy);
    }

    /** Returns the kinds of findings of at least that severity which nobody has accepted, in their order. */
    public List<String> open(Severity atLeast) {
        List<String> open = new ArrayList<>();
        for (JsonNode finding : root.path("findings")) {
            if (!finding.has("accepted") && severity(finding).compareTo(atLeast) >= 0) {
                open.add(finding.path("kind").asText());
            }
        }
        return open;
    }

    private static Severity severity(JsonNode finding) {
        return Severity.valueOf(finding.path("severity").asText().toUpperCase(Locale.ROOT));
    }

    /**
     * Returns the range of a map's first channel; empty when there is no such map. {@link #lockRanges} gives the next bake all of them.
     */
    public Optional<Range> range(String map) {
        return ranges(map).stream().findFirst();
    }

    /** Returns the ranges of all of a map's channels; none when there is no such map. */
    public List<Range> ranges(String map) {
        List<Range> ranges = new ArrayList<>();
        for (JsonNode entry : root.path("maps")) {
            if (entry.path("name").asText().equals(map)) {
                entry.path("ranges").forEach(pair -> ranges.add(new Range(pair.path(0).floatValue(), pair.path(1).floatValue())));
                return ranges;
            }
        }
        return ranges;
    }

    /**
     * Gives a job that is being described the ranges of this manifest, for each of its maps of plain data that this manifest has, too, and whose range is
     * not flat; add the maps first.
     */
    public void lockRanges(BakeJob.Builder job) {
        for (JsonNode entry : root.path("maps")) {
            String map = entry.path("name").asText();
            List<Range> ranges = ranges(map);
            boolean flat = ranges.isEmpty() || ranges.stream().anyMatch(range -> range.atZero() == range.atOne());
            if (entry.path("kind").asText().equals("data") && !flat && job.hasMap(map)) {
                job.range(map, ranges.toArray(new Range[0]));
            }
        }
    }

    /**
     * Returns in what a job's inputs differ from those of this manifest, a sentence each; none when a bake would see the same meshes and the same cage.
     */
    public List<String> differences(BakeJob job) {
        List<String> out = new ArrayList<>();
        difference("the low poly", root.path("low"), MeshDigest.sha256(job.low()), out);
        JsonNode highs = root.path("highs");
        if (highs.size() != job.highs().size()) {
            out.add("there are " + job.highs().size() + " high polys, there were " + highs.size());
        }
        for (int i = 0; i < Math.min(highs.size(), job.highs().size()); i++) {
            difference("high poly " + (i + 1), highs.path(i), MeshDigest.sha256(job.highs().get(i)), out);
        }
        job.cage().ifPresent(cage -> difference("the cage", root.path("cage"), ManifestText.digest(cage), out));
        return out;
    }

    private static void difference(String what, JsonNode then, String now, List<String> out) {
        if (!then.path("sha256").asText().equals(now)) {
            out.add(what + " differs from the one that was baked");
        }
    }

    /**
     * Returns a console script that bakes the same again: {@code console/estampage again.jsh low=… high=… out=…}, where all other options are those of this
     * manifest. It stops where an input is not the one that was baked, unless it is given {@code changed=true}.
     *
     * @edge maps of one's own and images stand as "…", to be filled in; an imported or specially fitted cage is asked for as {@code cage=…}
     */
    public String script() {
        return new ManifestScript(root).text();
    }

    /** Returns the manifest's text, which ends with a line feed. */
    public String text() {
        try {
            DefaultIndenter lines = new DefaultIndenter("  ", "\n"); // the platform's line ends would differ
            return JSON
                    .writer(new DefaultPrettyPrinter().withObjectIndenter(lines)
                            .withArrayIndenter(new DefaultPrettyPrinter.FixedSpaceIndenter()))
                    .writeValueAsString(root) + "\n";
        } catch (JsonProcessingException e) {
            throw new IllegalStateException("a tree of JSON can always be written", e);
        }
    }

    /**
     * Writes the manifest, whole or not at all.
     *
     * @throws IOException              if it can't be written
     * @throws IllegalArgumentException if the file's name does not end with {@code .json}
     */
    public void write(Path file, Task task) throws IOException {
        if (!String.valueOf(file.getFileName()).toLowerCase(Locale.ROOT).endsWith(".json")) {
            throw new IllegalArgumentException("file = " + file + " must end with .json: a manifest is JSON");
        }
        AtomicFile.write(file, task, out -> out.write(text().getBytes(StandardCharsets.UTF_8)));
    }

    @Override
    public String toString() {
        ArrayNode maps = root.withArray("maps");
        return "manifest of " + root.path("low").path("name").asText() + ": " + maps.size() + " maps, " + root.path("findings").size()
                + " findings, "
                + open(Severity.WARNING).size() + " of them open warnings or errors";
    }
}
