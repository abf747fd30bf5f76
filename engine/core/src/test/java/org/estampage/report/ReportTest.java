package org.estampage.report;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import com.fasterxml.jackson.databind.JsonNode;
import java.awt.image.BufferedImage;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.HashSet;
import java.util.List;
import java.util.Objects;
import java.util.Set;
import org.estampage.bake.BakeJob;
import org.estampage.bake.BakeResult;
import org.estampage.bake.Baker;
import org.estampage.bake.FrameRule;
import org.estampage.bake.SurfaceMap;
import org.estampage.cage.Cage;
import org.estampage.image.FloatImage;
import org.estampage.lowpoly.Lathe;
import org.estampage.maps.HeightMap;
import org.estampage.maps.IdMap;
import org.estampage.maps.NormalMap;
import org.estampage.maps.ObjectNormalMap;
import org.estampage.mesh.Attribute;
import org.estampage.mesh.Mesh;
import org.estampage.mesh.Normals;
import org.estampage.task.Cancellation;
import org.estampage.task.MemoryBudget;
import org.estampage.task.Progress;
import org.estampage.task.Task;
import org.estampage.testresources.Bollard;
import org.jspecify.annotations.Nullable;
import org.junit.jupiter.api.AfterAll;
import org.junit.jupiter.api.Assumptions;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Tag;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.TestInstance;
import org.junit.jupiter.api.io.TempDir;

/** The page in a real browser, without a window; one browser for all tests. */
@TestInstance(TestInstance.Lifecycle.PER_CLASS)
@Tag("once") // a page shows what kernels gave and can't tell which
class ReportTest {
    private static final String HOSTILE = "</script><img src=x onerror=\"window.hostile=1\">'\"&{{style}}<b>";
    private static final int SIZE = 128;
    /** Of the window: small, since all drawing is done by the processor. */
    private static final int WIDTH = 560;
    private static final int HEIGHT = 480;

    private Path folder;
    private Mesh high;
    private Mesh low;
    private BakeResult result;
    private Path file;
    private @Nullable Chromium browser;

    @BeforeAll
    void bakeAndStart(@TempDir Path temporary) throws Exception {
        folder = temporary;
        var shape = Bollard.generate(20_000);
        high = Normals.smooth(Mesh.builder(shape.positions(), shape.triangles()).name("high " + HOSTILE).build());
        low = Lathe.around(high).sides(24).rings(6).capped().size(SIZE).build().toBuilder().name(HOSTILE).build();
        // so close a cage misses some detail, which gives findings with places
        result = bake(low, Cage.offset(low, 0.004), FrameRule.AS_INTERPOLATED, NormalMap.create(), HeightMap.create(), IdMap.create());
        file = folder.resolve("deep/page.html");
        Report.write(result, file, ReportOptions.USUAL.withHighTriangles(3000).withNumber(HOSTILE, 1.5, HOSTILE, HOSTILE)
                .withPicture(HOSTILE, result.map("normal")), Task.silent());
        if (Chromium.program().isPresent()) {
            browser = new Chromium(Chromium.program().get());
        }
    }

    @AfterAll
    void stop() throws Exception {
        if (browser != null) {
            browser.close();
        }
    }

    private BakeResult bake(Mesh to, Cage cage, FrameRule rule, SurfaceMap... maps) {
        return Baker.create().bake(BakeJob.of(to, high).cage(cage).size(SIZE).frame(rule).maps(maps).build(), Task.silent());
    }

    /** Returns the browser with the page open, light. Without one the test is passed over, but not in continuous integration. */
    private Chromium opened() throws Exception {
        return opened(file);
    }

    private Chromium opened(Path page) throws Exception {
        if (System.getenv("CI") == null) {
            Assumptions.assumeTrue(browser != null, "Chromium is not installed");
        }
        Chromium there = Objects.requireNonNull(browser, "Chromium");
        there.size(WIDTH, HEIGHT);
        there.scheme("light");
        there.open(page);
        return there;
    }

    private static void choose(Chromium page, String surface) throws Exception {
        page.run("{const s = document.getElementById('surface'); s.value = '" + surface
                + "'; s.dispatchEvent(new Event('input', {bubbles: true})); if (s.value !== '" + surface
                + "') throw new Error('no such choice');}");
    }

    private static int colours(BufferedImage image) {
        Set<Integer> seen = new HashSet<>();
        for (int y = 0; y < image.getHeight(); y++) {
            for (int x = 0; x < image.getWidth(); x++) {
                seen.add(image.getRGB(x, y));
            }
        }
        return seen.size();
    }

    /** Returns the mean difference of a channel, in codes. */
    private static double difference(BufferedImage a, BufferedImage b) {
        assertThat(a.getWidth()).isEqualTo(b.getWidth());
        assertThat(a.getHeight()).isEqualTo(b.getHeight());
        long sum = 0;
        for (int y = 0; y < a.getHeight(); y++) {
            for (int x = 0; x < a.getWidth(); x++) {
                for (int shift = 0; shift < 24; shift += 8) {
                    sum += Math.abs((a.getRGB(x, y) >> shift & 255) - (b.getRGB(x, y) >> shift & 255));
                }
            }
        }
        return sum / (3.0 * a.getWidth() * a.getHeight());
    }

    @Test
    void page_opensFromDisk_withoutErrorsAndWithoutAskingForAnything() throws Exception {
        Chromium page = opened();
        assertThat(page.complaints).isEmpty();
        assertThat(page.requests).containsExactly(file.toUri().toString());
        assertThat(page.run("document.querySelectorAll('.plate img').length").asInt()).isEqualTo(3);
        assertThat(page.run("[...document.images].every(i => i.complete && i.naturalWidth > 0)").asBoolean()).isTrue();
    }

    @Test
    void everyChoice_ofTheView_changesItsPixels() throws Exception {
        Chromium page = opened();
        List<BufferedImage> seen = new ArrayList<>();
        seen.add(page.picture(".view"));
        assertThat(colours(seen.get(0))).as("colours of the first picture").isGreaterThan(500);
        for (String surface : List.of("plain", "map normal", "map height", "checker")) {
            choose(page, surface);
            seen.add(page.picture(".view"));
        }
        for (String click : List.of("#wires", "input[value=high]", "input[value=both]")) {
            page.run("document.querySelector('" + click + "').click()");
            seen.add(page.picture(".view"));
        }
        for (int i = 0; i < seen.size(); i++) {
            for (int j = 0; j < i; j++) {
                assertThat(difference(seen.get(i), seen.get(j))).as("pictures %d and %d", i, j).isGreaterThan(0.2);
            }
        }
        assertThat(page.complaints).isEmpty();
    }

    @Test
    void view_isTurnedLitAndPutBack_byKeyboardAndMouse() throws Exception {
        Chromium page = opened();
        BufferedImage start = page.picture(".view");
        page.run("document.getElementById('view').focus({preventScroll: true})");
        page.key("ArrowRight", 39, 0);
        assertThat(difference(start, page.picture(".view"))).isGreaterThan(0.5);
        page.key("Home", 36, 0);
        page.settle();
        // the focus ring is drawn around the canvas, outside the picture's inner part; the rest is the same to a code
        assertThat(difference(inner(start), inner(page.picture(".view")))).isLessThan(0.01);
        page.key("ArrowRight", 39, 8);
        page.settle();
        assertThat(page.run("document.getElementById('light-around').value").asInt()).isEqualTo(-35);
        assertThat(difference(inner(start), inner(page.picture(".view")))).isGreaterThan(0.1);
        page.key("Home", 36, 0);
        BufferedImage before = page.picture(".view");
        JsonNode box = page.run("(b => [b.x, b.y, b.width, b.height])(document.getElementById('view').getBoundingClientRect())");
        double x = box.get(0).asDouble() + box.get(2).asDouble() / 2, y = box.get(1).asDouble() + box.get(3).asDouble() / 2;
        page.mouse("mousePressed", x, y, 1);
        page.mouse("mouseMoved", x + 80, y + 20, 1);
        page.mouse("mouseReleased", x + 80, y + 20, 0);
        assertThat(difference(before, page.picture(".view"))).isGreaterThan(0.5);
    }

    private static BufferedImage inner(BufferedImage image) {
        return image.getSubimage(8, 8, image.getWidth() - 16, image.getHeight() - 16);
    }

    @Test
    void loupe_showsWhatTheMapHolds() throws Exception {
        Chromium page = opened();
        for (int number = 0; number < 3; number++) {
            FloatImage map = result.maps().get(number).image();
            page.run("document.querySelectorAll('.plate')[" + number + "].click()");
            assertThat(page.run("document.activeElement.id").asText()).isEqualTo("sheet");
            page.key("ArrowRight", 39, 0);
            page.key("ArrowUp", 38, 8);
            int x = SIZE / 2 + 1, y = SIZE / 2 - 10;
            List<String> rows = new ArrayList<>();
            page.run("[...document.querySelectorAll('#loupe-table td')].map(td => td.textContent)")
                    .forEach(cell -> rows.add(cell.asText()));
            assertThat(rows.get(0)).isEqualTo(x + ", " + y);
            // texel centres, v up; both numbers are exact in 5 digits here
            assertThat(rows.get(1)).isEqualTo("0.51172, 0.57422");
            assertThat(rows).hasSize(2 + map.channels());
            for (int c = 0; c < map.channels(); c++) {
                int code = map.encoding().quantise(c, map.get(x, y, c), 8);
                assertThat(rows.get(2 + c)).endsWith("stored " + code + " of 255");
                double raw = Double.parseDouble(rows.get(2 + c).split(" ")[0]);
                // five digits are shown
                assertThat(raw).isCloseTo(map.encoding().raw(c, code / 255f), org.assertj.core.data.Percentage.withPercentage(0.01));
            }
            page.key("Escape", 27, 0);
            page.settle();
            assertThat(page.run("document.activeElement.className").asText()).isEqualTo("plate");
        }
    }

    @Test
    void keyboard_reachesEveryControl_andShowsWhereItIs() throws Exception {
        Chromium page = opened();
        int controls = page.run("""
                const all = [...document.querySelectorAll('a, button, select, input, [tabindex]')]
                    .filter(e => !e.disabled && !e.closest('dialog') && !(e.type === 'radio' && !e.checked));
                window.left = new Set(all); all.length""").asInt();
        assertThat(controls).isGreaterThan(20);
        for (int i = 0; i < controls; i++) {
            page.key("Tab", 9, 0);
            JsonNode ring = page.run("window.left.delete(document.activeElement);"
                    + " (s => s.outlineStyle + ' ' + s.outlineWidth)(getComputedStyle(document.activeElement))");
            assertThat(ring.asText()).isEqualTo("solid 3px");
        }
        assertThat(page.run("[...window.left].map(e => e.outerHTML.slice(0, 80))")).isEmpty();
        assertThat(page.run("[...document.querySelectorAll('button, select, input, canvas')].filter(e => !(e.textContent.trim()"
                + " || e.labels && e.labels.length || e.ariaLabel || e.ariaHidden === 'true')).map(e => e.outerHTML)")).isEmpty();
    }

    @Test
    void places_ofFindings_areChosenOnLayoutAndModel() throws Exception {
        Chromium page = opened();
        page.size(WIDTH, 900); // so that all of the layout is in sight
        assertThat(page.run("document.querySelectorAll('.spots button').length").asInt()).isGreaterThan(3);
        BufferedImage model = page.picture(".view");
        BufferedImage layout = page.picture("#layout");
        page.run("document.querySelector('.spots button').click()");
        page.settle();
        assertThat(page.run("document.querySelector('.spots button').getAttribute('aria-pressed')").asText()).isEqualTo("true");
        assertThat(difference(model, page.picture(".view"))).isGreaterThan(0.5);
        assertThat(difference(layout, page.picture("#layout"))).isGreaterThan(0.005); // one ring of some hundred pixels
    }

    @Test
    void phone_hasNoHorizontalOverflow_andSchemesDiffer() throws Exception {
        Chromium page = opened();
        BufferedImage light = page.picture(false);
        page.scheme("dark");
        assertThat(difference(light, page.picture(false))).isGreaterThan(100);
        page.size(360, 740);
        assertThat(page.run("document.documentElement.scrollWidth").asInt()).isEqualTo(360);
        page.run("document.querySelector('.plate').click()");
        page.settle();
        assertThat(page.run("document.querySelector('dialog').scrollWidth <= document.querySelector('dialog').clientWidth").asBoolean())
                .isTrue();
        assertThat(page.complaints).isEmpty();
    }

    @Test
    void hostileNames_areInert() throws Exception {
        Chromium page = opened();
        assertThat(page.run("typeof window.hostile").asText()).isEqualTo("undefined");
        assertThat(page.run("document.querySelector('h1').textContent").asText()).isEqualTo(HOSTILE);
        assertThat(page.run("document.querySelectorAll('[onerror], img[src=x], b').length").asInt()).isEqualTo(3); // the names of the three maps
        assertThat(page.run("document.querySelectorAll('script').length").asInt()).isEqualTo(2);
        assertThat(Files.readString(file)).doesNotContain("<img src=x").doesNotContain("{{");
        // even if something got in, the page's policy would not let it run
        page.run("document.body.insertAdjacentHTML('beforeend', '<img src=data: onerror=\"window.hostile=1\">')");
        page.settle();
        assertThat(page.run("typeof window.hostile").asText()).isEqualTo("undefined");
    }

    @Test
    void withoutWebGl_thePageSaysSo_andTheRestWorks() throws Exception {
        Chromium page = opened();
        String made = page.send("Page.addScriptToEvaluateOnNewDocument", page.parameters().put("source",
                "const whole = HTMLCanvasElement.prototype.getContext; HTMLCanvasElement.prototype.getContext = function (kind, ...more) {"
                        + " return kind === 'webgl2' ? null : whole.call(this, kind, ...more); }"))
                .get("identifier").asText();
        try {
            opened();
            assertThat(page.complaints).isEmpty();
            assertThat(page.run("document.getElementById('view-none').textContent").asText()).contains("no WebGL 2");
            page.run("document.querySelector('.spots button').click(); document.querySelector('.plate').click()");
            assertThat(page.run("document.querySelectorAll('#loupe-table tr').length").asInt()).isEqualTo(5);
            assertThat(page.complaints).isEmpty();
        } finally {
            page.send("Page.removeScriptToEvaluateOnNewDocument", page.parameters().put("identifier", made));
        }
    }

    @Test
    void tangentNormals_shadeAsObjectNormals_underEveryFrameRule_mirroredToo() throws Exception {
        opened();
        Attribute uv = low.uvSets().get(0);
        float[] turned = uv.values().clone();
        for (int i = 0; i < turned.length; i += 2) {
            turned[i] = 1 - turned[i];
        }
        Mesh mirrored = low.toBuilder().noUvSets().uvSet(new Attribute("uv", 2, turned, uv.indices())).build();
        BufferedImage unlike = lit(bake(low, Cage.offset(low, 0.05), FrameRule.AS_INTERPOLATED, HeightMap.create()));
        BufferedImage known = lit(bake(low, Cage.offset(low, 0.05), FrameRule.AS_INTERPOLATED, ObjectNormalMap.create()));
        for (FrameRule rule : FrameRule.values()) {
            for (Mesh mesh : rule == FrameRule.AS_INTERPOLATED ? List.of(low, mirrored) : List.of(low)) {
                BufferedImage lit = lit(bake(mesh, Cage.offset(mesh, 0.05), rule, NormalMap.create()));
                // both maps have 8 bits and are filtered each in its own space; without a map the difference is above 1.5, with a bitangent
                // turned round above 3
                assertThat(difference(lit, known)).as("%s", rule).isLessThan(0.8);
                assertThat(difference(lit, unlike)).as("%s against no map", rule).isGreaterThan(1.5);
            }
        }
    }

    /** Returns the view of a report, lit, without places of findings. */
    private BufferedImage lit(BakeResult of) throws Exception {
        Path page = folder.resolve("shade.html");
        Report.write(of, page, ReportOptions.USUAL.withHighTriangles(0), Task.silent());
        Chromium there = opened(page);
        there.run("document.getElementById('marks').click()");
        return there.picture(".view");
    }

    @Test
    void callersMistakes_areNamed_andNothingIsWritten() {
        assertThatThrownBy(() -> Report.write(result, folder.resolve("page.png"), ReportOptions.USUAL, Task.silent()))
                .isInstanceOf(IllegalArgumentException.class).hasMessageContaining(".html");
        assertThatThrownBy(() -> ReportOptions.USUAL.withTexels(8)).hasMessage("texels = 8 must be 16 … 8192");
        assertThatThrownBy(() -> ReportOptions.USUAL.withHighTriangles(3)).hasMessageContaining("highTriangles = 3");
        Cancellation cancelled = new Cancellation();
        cancelled.cancel();
        assertThatThrownBy(() -> Report.write(result, folder.resolve("none.html"), ReportOptions.USUAL,
                new Task(Progress.none(), cancelled, MemoryBudget.ofHeap())))
                .isInstanceOf(java.util.concurrent.CancellationException.class);
        assertThat(folder.resolve("none.html")).doesNotExist();
    }

    @Test
    void sameBake_givesTheSamePage_andCopiesAreAsSmallAsAsked() throws IOException {
        Path again = folder.resolve("again.html");
        Path small = folder.resolve("small.html");
        ReportOptions options = ReportOptions.USUAL.withHighTriangles(0);
        Report.write(result, again, options, Task.silent());
        byte[] first = Files.readAllBytes(again);
        Report.write(result, again, options, Task.silent());
        assertThat(Files.readAllBytes(again)).isEqualTo(first);
        Report.write(result, small, options.withTexels(32), Task.silent());
        assertThat(Files.readString(small)).contains("width=\"32\" height=\"32\"")
                .contains("32 × 32 texels; the maps themselves have 128 × 128");
        assertThat(Files.size(small)).isLessThan(first.length);
    }
}
