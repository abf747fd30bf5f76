package org.estampage.session;

import com.fasterxml.jackson.databind.ObjectMapper;
import com.fasterxml.jackson.databind.node.ArrayNode;
import com.fasterxml.jackson.databind.node.ObjectNode;
import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import org.estampage.io.format.AtomicFile;
import org.estampage.task.Task;

/**
 * What became of a set.
 *
 * @param rows one for each asset that was come to, in the set's order
 * @threads immutable
 */
public record SetReport(List<Row> rows) {
    /** What became of an asset. */
    public enum Status {
        /** It was worked on now. */
        DONE,
        /** It was done before, and nothing has changed since. */
        UNCHANGED,
        /** Its work threw something. */
        FAILED
    }

    /**
     * What became of one asset.
     *
     * @param asset    its name
     * @param status   what became of it
     * @param seconds  how long it took, now or when it was done
     * @param covered  texels that its charts cover; 0 where no bake was given back
     * @param missed   of them, those that met nothing
     * @param findings how many there are
     * @param files    what was written, as the caller shows them
     * @param error    what was thrown; empty where nothing was
     */
    public record Row(String asset, Status status, double seconds, long covered, long missed, int findings, List<String> files,
            String error) {
        /** Copies the list. */
        public Row {
            files = List.copyOf(files);
        }
    }

    private static final List<String> HEADER = List.of("asset", "status", "seconds", "covered", "missed", "findings", "files", "error");

    /** Copies the list. */
    public SetReport {
        rows = List.copyOf(rows);
    }

    /** Returns whether an asset failed. */
    public boolean hasFailures() {
        return rows.stream().anyMatch(row -> row.status == Status.FAILED);
    }

    /** Returns a row's fields in the order of the table. */
    private static List<String> fields(Row row) {
        return List.of(row.asset, row.status.name().toLowerCase(Locale.ROOT), String.format(Locale.ROOT, "%.2f", row.seconds),
                Long.toString(row.covered), Long.toString(row.missed), Integer.toString(row.findings), String.join(" ", row.files),
                row.error);
    }

    /** Returns the table as comma-separated values with a header. */
    public String csv() {
        StringBuilder text = new StringBuilder(Csv.row(HEADER));
        rows.forEach(row -> text.append(Csv.row(fields(row))));
        return text.toString();
    }

    /** Returns the table as JSON: a list of objects. */
    public String json() {
        ArrayNode list = new ObjectMapper().createArrayNode();
        for (Row row : rows) {
            ObjectNode each = list.addObject().put("asset", row.asset).put("status", row.status.name().toLowerCase(Locale.ROOT))
                    .put("seconds", row.seconds).put("covered", row.covered).put("missed", row.missed).put("findings", row.findings);
            row.files.forEach(each.putArray("files")::add);
            each.put("error", row.error);
        }
        return list.toPrettyString() + "\n";
    }

    /**
     * Writes the table: as JSON where the file's name ends with {@code .json}, as comma-separated values where it ends with {@code .csv}.
     *
     * @throws IllegalArgumentException if it ends with neither
     * @throws IOException              if it can't be written
     */
    public void write(Path file, Task task) throws IOException {
        String name = String.valueOf(file.getFileName()).toLowerCase(Locale.ROOT);
        if (!name.endsWith(".json") && !name.endsWith(".csv")) {
            throw new IllegalArgumentException("file = \"" + file + "\" must end with .csv or .json");
        }
        byte[] text = (name.endsWith(".json") ? json() : csv()).getBytes(StandardCharsets.UTF_8);
        AtomicFile.write(file, task, out -> out.write(text));
    }

    /** Returns the table for people: files as their number, errors below. */
    @Override
    public String toString() {
        List<List<String>> lines = new ArrayList<>();
        lines.add(HEADER.subList(0, HEADER.size() - 1));
        for (Row row : rows) {
            List<String> fields = new ArrayList<>(fields(row).subList(0, HEADER.size() - 2));
            fields.add(Integer.toString(row.files.size()));
            lines.add(fields);
        }
        StringBuilder text = new StringBuilder();
        for (List<String> line : lines) {
            for (int c = 0; c < line.size(); c++) {
                int column = c;
                int width = lines.stream().mapToInt(l -> l.get(column).length()).max().orElse(0);
                text.append(String.format(Locale.ROOT, c < 2 ? "%-" + width + "s  " : "%" + width + "s  ", line.get(c)));
            }
            text.setLength(text.length() - 2);
            text.append('\n');
        }
        rows.stream().filter(row -> !row.error.isEmpty())
                .forEach(row -> text.append(row.asset).append(": ").append(row.error).append('\n'));
        return text.toString().stripTrailing();
    }
}
