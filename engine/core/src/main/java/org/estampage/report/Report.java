package org.estampage.report;

import com.fasterxml.jackson.core.JsonProcessingException;
import com.fasterxml.jackson.databind.ObjectMapper;
import java.io.IOException;
import java.io.InputStream;
import java.io.OutputStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.security.MessageDigest;
import java.security.NoSuchAlgorithmException;
import java.util.Base64;
import java.util.Map;
import java.util.Objects;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import org.estampage.bake.BakeResult;
import org.estampage.io.format.AtomicFile;
import org.estampage.task.Task;

/**
 * Writes what a bake gave as one HTML page: verdict, model, maps with their texels, findings where they are, times, rays, memory, settings.
 *
 * <p>The page is one file that opens from disk in any browser of today; it asks nothing of any network and forbids itself to. Maps are copies of 8 bits, made
 * smaller where they are large; the high poly is a decimated copy. The page says so. Where there is no WebGL 2 the model is not shown, and all else is.
 *
 * @threads safe for concurrent calls on different files
 */
public final class Report {
    private static final Pattern MARK = Pattern.compile("\\{\\{(\\w+)\\}\\}");

    private Report() {
    }

    /**
     * Writes the page whole or not at all; folders are created, an older file is replaced.
     *
     * @param file usually ends with {@code .html}
     * @cost that of mips for each large map, of a decimation of the high polys, and the page's bytes a few times over
     * @throws IllegalArgumentException                   if the file's name does not end with {@code .html} or {@code .htm}
     * @throws IOException                                if the file can't be written
     * @throws java.util.concurrent.CancellationException if the task was cancelled; nothing is left then
     */
    public static void write(BakeResult result, Path file, ReportOptions options, Task task) throws IOException {
        Objects.requireNonNull(result, "result");
        Objects.requireNonNull(options, "options");
        Objects.requireNonNull(task, "task");
        String name = file.getFileName() == null ? "" : file.getFileName().toString().toLowerCase(java.util.Locale.ROOT);
        if (!name.endsWith(".html") && !name.endsWith(".htm")) {
            throw new IllegalArgumentException("file = \"" + file + "\" must end with .html: a report is a page for a browser");
        }
        AtomicFile.write(file, task,
                out -> task.recall().write(new ReportPage(result, options), out, to -> write(Page.of(result, options, task), to)));
    }

    /** All that reaches a page. */
    private record ReportPage(BakeResult result, ReportOptions options) {
    }

    private static void write(Page page, OutputStream out) throws IOException {
        String form = resource("page.html");
        String style = resource("page.css");
        String script = resource("page.js");
        Map<String, String> parts = page.parts();
        Matcher mark = MARK.matcher(form);
        int from = 0;
        while (mark.find()) { // one pass over our own form: what is put in is not looked at again
            put(out, form.substring(from, mark.start()));
            put(out, switch (mark.group(1)) {
                case "policy" -> policy(style, script);
                case "style" -> style;
                case "script" -> script;
                case "data" -> json(page.data());
                default -> Objects.requireNonNull(parts.get(mark.group(1)), mark.group(1));
            });
            from = mark.end();
        }
        put(out, form.substring(from));
    }

    private static void put(OutputStream out, String text) throws IOException {
        out.write(text.getBytes(StandardCharsets.UTF_8));
    }

    /** Returns what the page may do: run this script, wear this style, show the images that it brings; nothing else. */
    private static String policy(String style, String script) {
        return "default-src 'none'; img-src data:; style-src '" + hash(style) + "'; script-src '" + hash(script)
                + "'; base-uri 'none'; form-action 'none'";
    }

    private static String hash(String text) {
        try {
            byte[] digest = MessageDigest.getInstance("SHA-256").digest(text.getBytes(StandardCharsets.UTF_8));
            return "sha256-" + Base64.getEncoder().encodeToString(digest);
        } catch (NoSuchAlgorithmException e) {
            throw new IllegalStateException(e); // every JDK has it
        }
    }

    /** Returns data as a text that holds no {@code <}, so that it can't end the element that it stands in. */
    private static String json(Map<String, Object> data) throws JsonProcessingException {
        return new ObjectMapper().writeValueAsString(data).replace("<", "\\u003c");
    }

    private static String resource(String name) throws IOException {
        try (InputStream in = Objects.requireNonNull(Report.class.getResourceAsStream(name), name)) {
            return new String(in.readAllBytes(), StandardCharsets.UTF_8);
        }
    }
}
