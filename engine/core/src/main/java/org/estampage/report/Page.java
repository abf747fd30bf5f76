package org.estampage.report;

import java.io.IOException;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import java.util.stream.Collectors;
import org.estampage.bake.BakeJob;
import org.estampage.bake.BakeResult;
import org.estampage.bake.BakedMap;
import org.estampage.bake.BakedTile;
import org.estampage.finding.Finding;
import org.estampage.finding.Severity;
import org.estampage.image.FloatImage;
import org.estampage.image.Padding;
import org.estampage.image.Range;
import org.estampage.mesh.Bounds;
import org.estampage.mesh.Mesh;
import org.estampage.raster.UvTile;
import org.estampage.task.Task;
import org.estampage.uv.UvMeasures;

/** What stands in the page: parts for people, and data for its script. */
final class Page {
    /** Pictures are made smaller beyond this, in pixels: the page is at most about a thousand wide, on fine screens twice as many. */
    private static final int PICTURE_SIDE = 2048;
    /** A picture that is so many times as wide as it is high has a row of its own. */
    private static final double BROAD = 1.5;

    private final BakeResult result;
    private final BakeJob job;
    private final ReportOptions options;
    private final Task task;
    private final UvMeasures uv;
    private final List<PageMap> maps;
    private final List<Mesh> highs;
    /** The places of each finding. */
    private final List<List<Spot>> spots = new ArrayList<>();
    private final Map<String, String> parts = new LinkedHashMap<>();
    private final Map<String, Object> data = new LinkedHashMap<>();

    private Page(BakeResult result, ReportOptions options, Task task) throws IOException {
        this.result = result;
        this.options = options;
        this.task = task;
        job = result.job();
        uv = UvMeasures.of(result.low(), 0, job.width(), job.height(), task);
        maps = PageMap.of(result, options.texels(), task);
        highs = ModelData.high(result, options.highTriangles(), task);
        PlaceFinder finder = new PlaceFinder(result);
        result.findings().forEach(finding -> spots.add(finder.spots(finding)));
    }

    static Page of(BakeResult result, ReportOptions options, Task task) throws IOException {
        Page page = new Page(result, options, task);
        page.head();
        page.pictures();
        page.found();
        page.extra();
        page.cost();
        page.memory();
        page.settings();
        page.script();
        return page;
    }

    /** Returns markup by the name of its place in the page. */
    Map<String, String> parts() {
        return parts;
    }

    /** Returns what the script is given. */
    Map<String, Object> data() {
        return data;
    }

    private String title() {
        return options.title().isBlank() ? result.low().name() : options.title();
    }

    private void head() {
        parts.put("title", Html.escaped(title()));
        Verdict verdict = Verdict.of(result);
        String level = verdict.level() == Severity.NOTE ? "fine" : level(verdict.level());
        parts.put("verdict", new Html().markup("<p class=\"verdict " + level + "\">").element("strong", verdict.head(), "strong")
                .element("span", verdict.reason(), "span").markup("</p>").toString());
        long highTriangles = job.highs().stream().mapToLong(Mesh::triangleCount).sum();
        long texels = (long) job.width() * job.height() * result.tiles().size();
        Html facts = new Html();
        fact(facts, "Maps",
                result.tiles().get(0).maps().size() + (result.tiles().size() > 1 ? " × " + result.tiles().size() + " tiles" : ""),
                job.width() + " × " + job.height() + " texels");
        fact(facts, "Low poly", Html.count(result.low().triangleCount()) + " triangles",
                Html.count(result.low().vertexCount()) + " vertices, " + uv.charts().size()
                        + (uv.charts().size() == 1 ? " chart" : " charts"));
        fact(facts, "High poly", Html.count(highTriangles) + " triangles",
                job.highs().size() == 1 ? job.highs().get(0).name() : "in " + job.highs().size() + " meshes");
        fact(facts, "Covered", percent(result.coveredCount(), texels), Html.count(result.coveredCount()) + " texels");
        fact(facts, "Missed", result.missedCount() == 0 ? "none" : percent(result.missedCount(), result.coveredCount()),
                Html.count(result.missedSampleCount()) + " of " + Html.count(result.sampleCount()) + " samples");
        fact(facts, "Rays", millions(result.projectionRayCount() + result.hemisphereRayCount()),
                "in " + seconds(total()) + " in all");
        parts.put("facts", facts.toString());
    }

    private static void fact(Html to, String label, String value, String note) {
        to.markup("<div>").element("dt", label, "dt").markup("<dd>").text(value).element("small", note, "small").markup("</dd></div>\n");
    }

    private void pictures() {
        Html plates = new Html();
        for (PageMap map : maps) {
            plates.markup("<li><button type=\"button\" class=\"plate\"><img id=\"" + map.id() + "\" alt=\"\" width=\"" + map.copy().width()
                    + "\" height=\"" + map.copy().height() + "\" src=\"data:image/png;base64,").markup(map.png()).markup("\">")
                    .element("b", map.name(), "b")
                    .element("small", map.full().width() + " × " + map.full().height() + ", " + map.map().bits() + " bits", "small")
                    .markup("</button></li>\n");
        }
        parts.put("maps", plates.toString());
        PageMap first = maps.get(0);
        parts.put("mapnote", Html.escaped("Pictures are copies of 8 bits" + (first.copy().width() == first.full().width()
                ? " at full size."
                : ", " + first.copy().width() + " × " + first.copy().height() + " texels; the maps themselves have " + first.full().width()
                        + " × " + first.full().height() + ".")));
    }

    private void found() throws IOException {
        Html list = new Html();
        if (result.findings().isEmpty()) {
            list.markup("<p>Nothing was found that needs a word.</p>");
        } else {
            list.markup("<ul class=\"found\">\n");
            int number = 0;
            for (int i = 0; i < spots.size(); i++) {
                Finding finding = result.findings().get(i);
                list.markup("<li class=\"" + level(finding.severity()) + "\"><p>")
                        .element("span class=\"level\"", level(finding.severity()), "span")
                        .markup(" ").text(sentence(finding.message())).markup("</p><p>").text(sentence(finding.remedy()))
                        .markup("</p><p class=\"kind\">")
                        .text(finding.kind() + ", " + Html.count(finding.count()) + (finding.count() == 1 ? " time" : " times"))
                        .markup("</p>");
                number = places(list, spots.get(i), number);
                list.markup("</li>\n");
            }
            list.markup("</ul>");
        }
        Html note = new Html();
        note.text("The layout in UV space: thick lines are borders of charts, rings are places of findings.");
        List<Map<String, Object>> misses = new ArrayList<>();
        if (result.missedSampleCount() > 0) {
            note.text(" Colours show why samples met nothing; charts are grey where all did.");
            for (BakedTile tile : result.tiles()) {
                String id = "miss" + misses.size();
                misses.add(Map.of("id", id, "column", tile.tile().column(), "row", tile.tile().row()));
                note.markup("<img hidden alt=\"\" id=\"" + id + "\" src=\"data:image/png;base64,")
                        .markup(PageMap.png(PageMap.smaller(tile.missPicture(), Math.max(options.texels(), 1), task), task)).markup("\">");
            }
        }
        data.put("misses", misses);
        parts.put("findings", list.toString());
        parts.put("layoutnote", note.toString());
    }

    private static int places(Html list, List<Spot> places, int firstNumber) {
        int number = firstNumber;
        if (!places.isEmpty()) {
            list.markup("<ul class=\"spots\" aria-label=\"Places\">");
            for (Spot spot : places) {
                if (spot.point().isPresent() || spot.uv().isPresent()) {
                    list.markup("<li><button type=\"button\" aria-pressed=\"false\" data-spot=\"" + number++ + "\">").text(spot.text())
                            .markup("</button></li>");
                } else {
                    list.element("li", spot.text(), "li");
                }
            }
            list.markup("</ul>");
        }
        return number;
    }

    private void extra() throws IOException {
        boolean none = options.pictures().isEmpty() && options.numbers().isEmpty();
        Html extra = new Html();
        if (!none) {
            extra.markup("<section id=\"proof\" aria-labelledby=\"proof-h\"><h2 id=\"proof-h\">Looked at and measured</h2>\n");
            if (!options.pictures().isEmpty()) {
                extra.markup("<div class=\"shots\">");
                for (ReportOptions.Picture picture : options.pictures()) {
                    FloatImage small = PageMap.smaller(picture.image(), PICTURE_SIDE, task);
                    extra.markup(small.width() > BROAD * small.height() ? "<figure class=\"broad\">" : "<figure>");
                    extra.markup("<img alt=\"\" src=\"data:image/png;base64,").markup(PageMap.png(small, task)).markup("\">")
                            .element("figcaption", picture.title(), "figcaption").markup("</figure>\n");
                }
                extra.markup("</div>");
            }
            if (!options.numbers().isEmpty()) {
                extra.markup("<div class=\"wide\"><table><tbody>");
                options.numbers().forEach(
                        number -> extra.row(number.label(),
                                Html.number(number.value()) + (number.unit().isBlank() ? "" : "\u00a0" + number.unit()), number.note()));
                extra.markup("</tbody></table></div>");
            }
            extra.markup("</section>");
        }
        parts.put("extra", extra.toString());
        parts.put("extralink", none ? "" : "<a href=\"#proof\">Looked at</a>");
    }

    private double total() {
        return result.stages().stream().mapToDouble(stage -> stage.time().toNanos() * 1e-9).sum();
    }

    private void cost() {
        double total = total();
        Html times = new Html().markup("<table><caption>Time by stage</caption><tbody>\n");
        for (BakeResult.Stage stage : result.stages()) {
            double time = stage.time().toNanos() * 1e-9;
            times.markup("<tr>").element("th scope=\"row\"", stage.name(), "th").element("td class=\"n\"", seconds(time), "td")
                    .markup("<td><svg class=\"bar\" viewBox=\"0 0 100 10\" preserveAspectRatio=\"none\" aria-hidden=\"true\"><rect height=\"10\" width=\""
                            + String.format(Locale.ROOT, "%.2f", total > 0 ? 100 * time / total : 0) + "\"/></svg></td></tr>\n");
        }
        times.markup("</tbody><tfoot><tr>").element("th scope=\"row\"", "all", "th").element("td class=\"n\"", seconds(total), "td")
                .markup("<td></td></tr></tfoot></table>");
        parts.put("times", times.toString());
        double bake = result.time("bake").toNanos() * 1e-9;
        long rays = result.projectionRayCount() + result.hemisphereRayCount();
        Html table = new Html().markup("<table><caption>Samples and rays</caption><tbody>\n");
        table.row("samples in charts", Html.count(result.sampleCount()));
        if (result.refinedTexelCount() > 0) {
            table.row("texels with the samples of edges", Html.count(result.refinedTexelCount()));
        }
        table.row("rays to find the surface", Html.count(result.projectionRayCount()));
        table.row("rays to find how open it is", Html.count(result.hemisphereRayCount()));
        table.row("rays a second while baking", bake > 0 ? millions(Math.round(rays / bake)) : "too quick to tell");
        parts.put("rays", table.markup("</tbody></table>").toString());
    }

    private void memory() {
        Html table = new Html().markup("<table><caption>Bytes of the maps in graphics memory, not compressed</caption><thead><tr>");
        for (String head : List.of("map", "channels", "usual depth", "first level", "with all mip levels")) {
            table.element("th scope=\"col\"", head, "th");
        }
        table.markup("</tr></thead><tbody>\n");
        long all = 0;
        for (BakedMap map : result.tiles().get(0).maps()) {
            int channels = map.image().channels();
            long first = bytes(channels, map.bits(), false);
            long mips = bytes(channels, map.bits(), true);
            all += mips;
            table.row(map.name(), Integer.toString(channels), map.bits() + " bits", Html.bytes(first), Html.bytes(mips));
        }
        table.markup("</tbody><tfoot>").row("all", "", "", "", Html.bytes(all)).markup("</tfoot></table>");
        parts.put("memory", table.toString());
        Html density = new Html().markup("<table><caption>The layout</caption><tbody>\n");
        density.row("texel density, mean", Html.number(uv.density().mean()) + " texels a mesh unit");
        density.row("least and most", Html.number(uv.density().least()) + " … " + Html.number(uv.density().most()) + " texels a mesh unit");
        density.row("charts", uv.charts().size() + " on " + uv.tileCount() + (uv.tileCount() == 1 ? " tile" : " tiles"));
        density.row("fill", String.format(Locale.ROOT, "%.1f %%", 100 * uv.fill()));
        density.row("least gap between charts", Double.isInfinite(uv.gap()) ? "only one chart" : Html.number(uv.gap()) + " texels");
        density.row("clean mip levels", uv.lastCleanMipLevel() < 0 ? "none" : "up to level " + uv.lastCleanMipLevel());
        density.row("distortion (1 is none)", Double.isNaN(uv.distortion().energy())
                ? "can't be measured"
                : Html.number(uv.distortion().energy()) + ", worst chart " + Html.number(uv.worstChartEnergy()));
        density.row("overlapping, flipped, degenerate triangles",
                uv.overlappingTriangles() + ", " + uv.flippedTriangles() + ", " + uv.degenerateTriangles());
        parts.put("density", density.markup("</tbody></table>").toString());
    }

    private long bytes(int channels, int bits, boolean mips) {
        return result.tiles().size() * UvMeasures.textureBytes(job.width(), job.height(), channels, bits / 8, mips);
    }

    private void settings() {
        Html table = new Html().markup("<table><tbody>\n");
        table.row("size", job.width() + " × " + job.height() + " texels");
        table.row("samples a texel", job.samplesPerSide() + " × " + job.samplesPerSide()
                + (job.edgeSamplesPerSide() > 0 ? ", at edges " + job.edgeSamplesPerSide() + " × " + job.edgeSamplesPerSide() : ""));
        table.row("filter", word(job.filter()));
        table.row("padding", job.padding() == Padding.EVERYWHERE ? "everywhere" : job.padding() + " texels");
        table.row("tangent frame", word(job.frameRule()) + "; bitangent = w · (normal × tangent), v up");
        table.row("tangents",
                job.low().normals().isPresent() && job.low().tangents().isPresent() ? "given with the low poly" : "MikkTSpace");
        table.row("which hit counts", word(job.hitRule()));
        table.row("rays straightened over panels", Html.number(job.rayBlend()));
        table.row("cage", result.cage() + (job.cage().isPresent() ? "" : ", fitted by the bake"));
        table.row("depth below the low poly", Double.isNaN(job.depth()) ? "what the cage says" : Html.number(job.depth()) + " mesh units");
        table.row("parts", job.isPairedByName() ? "paired by name" + suffixes() : "all see all");
        table.row("UVs",
                job.isUdim()
                        ? "UDIM tiles " + result.tiles().stream().map(t -> Integer.toString(t.number())).collect(Collectors.joining(", "))
                        : job.uvs().copies() ? "charts outside 0 … 1 are copies" : "one tile");
        table.row("low poly", job.low().toString());
        for (Mesh high : job.highs()) {
            table.row("high poly", high.toString());
        }
        parts.put("settings", table.markup("</tbody></table>").toString());
        Html encodings = new Html().markup("<table><thead><tr>");
        for (String head : List.of("map", "what it holds", "usual depth", "stored 0 … stored 1", "further")) {
            encodings.element("th scope=\"col\"", head, "th");
        }
        encodings.markup("</tr></thead><tbody>\n");
        for (BakedMap map : result.tiles().get(0).maps()) {
            encodings.row(map.name(), kind(map), map.bits() + " bits", ranges(map.image().encoding().ranges()),
                    map.details().entrySet().stream().map(e -> e.getKey() + ": " + e.getValue()).collect(Collectors.joining("; ")));
        }
        parts.put("encodings", encodings.markup("</tbody></table>").toString());
    }

    private String suffixes() {
        return job.lowSuffix().isEmpty() && job.highSuffix().isEmpty()
                ? ""
                : " without \"" + job.lowSuffix() + "\" and \"" + job.highSuffix() + "\"";
    }

    private static String kind(BakedMap map) {
        return switch (map.image().encoding().kind()) {
            case DATA -> "data";
            case NORMAL -> map.tangentSpace() ? "unit vectors in the tangent frame" : "unit vectors";
            case ID -> "identifiers";
            case COLOUR -> "colour, sRGB in files of whole numbers";
        };
    }

    private static String ranges(List<Range> ranges) {
        List<String> texts = ranges.stream().map(r -> Html.number(r.atZero()) + " … " + Html.number(r.atOne())).toList();
        return texts.stream().distinct().count() == 1
                ? texts.get(0) + (texts.size() > 1 ? ", each channel" : "")
                : String.join("; ", texts);
    }

    private void script() {
        data.put("width", job.width());
        data.put("height", job.height());
        data.put("udim", job.isUdim());
        data.put("frame", word(job.frameRule()).replace(' ', '-'));
        data.put("check", Math.max(1, Math.max(job.width(), job.height()) / 64));
        data.put("maps", maps.stream().map(PageMap::data).toList());
        List<UvTile> tiles = result.tiles().stream().map(BakedTile::tile).toList();
        int left = tiles.stream().mapToInt(UvTile::column).min().orElse(0);
        int bottom = tiles.stream().mapToInt(UvTile::row).min().orElse(0);
        data.put("tiles", List.of(left, bottom, tiles.stream().mapToInt(UvTile::column).max().orElse(0) - left + 1,
                tiles.stream().mapToInt(UvTile::row).max().orElse(0) - bottom + 1));
        Optional<Map<String, Object>> low = ModelData.low(result);
        low.ifPresent(mesh -> data.put("low", mesh));
        data.put("high", highs.stream().map(ModelData::highData).toList());
        data.put("around", ModelData.around(Bounds.around(List.of(result.low()))));
        long shown = highs.stream().mapToLong(Mesh::triangleCount).sum();
        long all = job.highs().stream().mapToLong(Mesh::triangleCount).sum();
        data.put("lowName", "low poly, " + Html.count(result.low().triangleCount()) + " triangles");
        data.put("highName", "high poly" + (shown < all ? ", a copy of " : ", ") + Html.count(shown) + " triangles");
        parts.put("viewnote", Html.escaped(highs.isEmpty()
                ? "The high poly was left out of this page."
                : shown < all
                        ? "The high poly here is a copy of " + Html.count(shown) + " triangles; the bake saw " + Html.count(all) + "."
                        : ""));
        List<Map<String, Object>> places = new ArrayList<>();
        for (int i = 0; i < spots.size(); i++) {
            for (Spot spot : spots.get(i)) {
                Map<String, Object> place = new LinkedHashMap<>();
                place.put("severity", level(result.findings().get(i).severity()));
                spot.point().ifPresent(p -> place.put("point", List.of(p.x(), p.y(), p.z())));
                spot.uv().ifPresent(p -> place.put("uv", List.of(p.x(), p.y())));
                if (place.size() > 1) {
                    places.add(place);
                }
            }
        }
        data.put("spots", places);
    }

    private static String level(Severity severity) {
        return severity.name().toLowerCase(Locale.ROOT);
    }

    private static String word(Enum<?> value) {
        return value.name().toLowerCase(Locale.ROOT).replace('_', ' ');
    }

    /** Returns a text that begins with a capital, unless with a piece of code, and ends with a stop. */
    private static String sentence(String text) {
        String first = text.split("[ ,;:.]", 2)[0];
        String begun = first.isEmpty() || first.contains("(") ? text : first.substring(0, 1).toUpperCase(Locale.ROOT) + text.substring(1);
        return begun.isEmpty() || begun.endsWith(".") ? begun : begun + ".";
    }

    private static String percent(long part, long all) {
        return String.format(Locale.ROOT, "%.2f %%", all > 0 ? 100.0 * part / all : 0);
    }

    private static String millions(long count) {
        return count < 1_000_000 ? Html.count(count) : String.format(Locale.ROOT, "%,.1f million", count * 1e-6);
    }

    private static String seconds(double time) {
        return String.format(Locale.ROOT, time < 10 ? "%.2f s" : "%.1f s", time);
    }
}
