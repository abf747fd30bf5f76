package org.estampage.console;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.assertj.core.api.Assertions.within;

import java.awt.image.BufferedImage;
import java.io.ByteArrayInputStream;
import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.PrintStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.Base64;
import java.util.List;
import java.util.Map;
import java.util.Random;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import javax.imageio.ImageIO;
import org.estampage.bake.BakeResult;
import org.estampage.cage.Cage;
import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.image.Range;
import org.estampage.lowpoly.Lathe;
import org.estampage.maps.NormalMap;
import org.estampage.mesh.Mesh;
import org.estampage.testresources.Bollard;
import org.jline.terminal.Terminal;
import org.jline.terminal.impl.DumbTerminal;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

class ScreenTest {
    @TempDir
    Path folder;

    private static BufferedImage picture(int width, int... rgb) {
        BufferedImage image = new BufferedImage(width, rgb.length / width, BufferedImage.TYPE_INT_RGB);
        image.setRGB(0, 0, width, rgb.length / width, rgb, 0, width);
        return image;
    }

    private static int[] pixels(BufferedImage image) {
        int[] rgb = image.getRGB(0, 0, image.getWidth(), image.getHeight(), null, 0, image.getWidth());
        for (int i = 0; i < rgb.length; i++) {
            rgb[i] &= 0xffffff;
        }
        return rgb;
    }

    @Test
    void twoByTwo_isOneLineOfTwoHalfBlocks() {
        // Upper halves are the foreground: red and green above, blue and white below.
        assertThat(HalfBlocks.of(picture(2, 0xff0000, 0x00ff00, 0x0000ff, 0xffffff), true))
                .isEqualTo("\033[38;2;255;0;0;48;2;0;0;255m▀\033[38;2;0;255;0;48;2;255;255;255m▀\033[0m\n");
        // The usual palette: 16 + 36 r + 6 g + b with levels 0 to 5, greys from 232.
        assertThat(HalfBlocks.of(picture(2, 0xff0000, 0x808080, 0x0000ff, 0x808080), false))
                .isEqualTo("\033[38;5;196;48;5;21m▀\033[38;5;244;48;5;244m▀\033[0m\n");
        assertThat(HalfBlocks.of(picture(1, 0x010203), true)).isEqualTo("\033[38;2;1;2;3m▀\033[0m\n");
    }

    @Test
    void halfBlocks_readBack_areThePicture() {
        int[] rgb = new Random(1).ints(9 * 7, 0, 1 << 24).toArray();
        assertThat(pixels(AnsiPicture.read(HalfBlocks.of(picture(9, rgb), true), 0))).startsWith(rgb);
    }

    @Test
    void sixel_ofFewColours_readsBackExactly_toThePercentOfItsPalette() {
        int[] rgb = {0xff0000, 0xff0000, 0xff0000, 0xff0000, 0xff0000, 0x00ff00, 0x000000, 0xffffff, 0xffffff, 0x0000ff, 0x0000ff, 0x0000ff,
                0x330066, 0x330066};
        assertThat(pixels(SixelPicture.read(Sixel.of(picture(2, rgb))))).containsExactly(rgb); // a seventh row begins a second band
        assertThat(Sixel.of(picture(2, rgb))).startsWith("\033P0;1;0q\"1;1;2;7#0;2;100;0;0").endsWith("-\033\\");
    }

    @Test
    void sixel_ofManyColours_staysNearThemOnAverage() {
        int side = 48;
        int[] rgb = new int[side * side];
        for (int i = 0; i < rgb.length; i++) {
            rgb[i] = ((i % side * 255 / (side - 1)) << 16) | ((i / side * 255 / (side - 1)) << 8) | 0x80;
        }
        int[] read = pixels(SixelPicture.read(Sixel.of(picture(side, rgb))));
        for (int shift : new int[] {0, 8, 16}) {
            // Over 8 × 8 pixels what is carried on has evened out: the rest is what leaves the square, less than a level's step over its 8 pixels of border.
            for (int y = 0; y < side; y += 8) {
                for (int x = 0; x < side; x += 8) {
                    assertThat(mean(read, side, x, y, shift)).isCloseTo(mean(rgb, side, x, y, shift),
                            within(8.0));
                }
            }
        }
    }

    private static double mean(int[] rgb, int width, int left, int top, int shift) {
        double sum = 0;
        for (int i = 0; i < 64; i++) {
            sum += (rgb[(top + i / 8) * width + left + i % 8] >> shift) & 0xff;
        }
        return sum / 64;
    }

    @Test
    void ability_comesFromWhatTheTerminalAnswers() {
        Map<String, String> deep = Map.of("COLORTERM", "truecolor");
        assertThat(Screen.ability("\033_Gi=31;OK\033\\\033[6;20;10t\033[?62;4c", deep))
                .isEqualTo(new Screen.Ability(Screen.Way.GRAPHICS, 10, 20));
        assertThat(Screen.ability("\033[?62;4;22c", deep).way()).isEqualTo(Screen.Way.SIXEL);
        assertThat(Screen.ability("\033[?64;14;40c", deep).way()).isEqualTo(Screen.Way.TRUE_COLOUR);
        assertThat(Screen.ability("\033_Gi=31;ENODATA\033\\\033[?1;2c", Map.of()).way()).isEqualTo(Screen.Way.COLOURS_256);
        assertThat(Screen.ability("", Map.of("COLORTERM", "24bit")).way()).isEqualTo(Screen.Way.TRUE_COLOUR);
    }

    @Test
    void drawn_fitsTheTerminal_byEveryWay() throws IOException {
        BufferedImage wide = picture(400, new int[400 * 100]), tall = picture(100, new int[100 * 400]), small = picture(2, 1, 2, 3, 4);
        for (Screen.Way way : new Screen.Way[] {Screen.Way.TRUE_COLOUR, Screen.Way.COLOURS_256}) {
            Screen.Ability blocks = new Screen.Ability(way, 8, 16);
            assertThat(Screen.drawn(wide, blocks, 80, 24).lines()).hasSize(10).allSatisfy(line -> assertThat(count(line)).isEqualTo(80));
            assertThat(Screen.drawn(tall, blocks, 80, 24).lines()).hasSize(22).allSatisfy(line -> assertThat(count(line)).isEqualTo(11));
            assertThat(Screen.drawn(small, blocks, 80, 24).lines()).hasSize(1);
        }
        assertThat(SixelPicture.read(Screen.drawn(wide, new Screen.Ability(Screen.Way.SIXEL, 2, 4), 80, 0)).getWidth()).isEqualTo(160);
        assertThat(SixelPicture.read(Screen.drawn(small, new Screen.Ability(Screen.Way.SIXEL, 8, 16), 80, 24)).getWidth()).isEqualTo(256);
    }

    private static long count(String line) {
        return line.chars().filter(c -> c == '▀').count();
    }

    @Test
    void graphics_carriesAPng_inPiecesThatNobodyAnswers() throws IOException {
        int[] rgb = new Random(2).ints(64 * 64, 0, 1 << 24).toArray(); // does not compress into one piece
        String text = Screen.drawn(picture(64, rgb), new Screen.Ability(Screen.Way.GRAPHICS, 1, 1), 64, 200);
        Matcher pieces = Pattern.compile("\033_G([^;]*);([^\033]*)\033\\\\").matcher(text);
        StringBuilder data = new StringBuilder();
        List<String> keys = new ArrayList<>();
        while (pieces.find()) {
            keys.add(pieces.group(1));
            assertThat(pieces.group(2).length()).isLessThanOrEqualTo(4096);
            data.append(pieces.group(2));
        }
        assertThat(keys).hasSizeGreaterThan(2).first().isEqualTo("a=T,f=100,q=2,m=1");
        assertThat(keys).last().isEqualTo("m=0");
        assertThat(pixels(ImageIO.read(new ByteArrayInputStream(Base64.getDecoder().decode(data.toString()))))).containsExactly(rgb);
    }

    private static String shown(Screen screen, Pictures.Picture picture) throws IOException {
        ByteArrayOutputStream out = new ByteArrayOutputStream();
        screen.show(picture, new PrintStream(out, true, StandardCharsets.UTF_8));
        return out.toString(StandardCharsets.UTF_8);
    }

    @Test
    void withoutATerminal_aFileIsWritten_andItsPathPrinted() throws IOException {
        String text = shown(Screen.none(), new Pictures.Picture(picture(2, 1, 2, 3, 4), "my map", "a map"));
        List<String> lines = text.lines().toList();
        assertThat(lines.getFirst()).isEqualTo("a map");
        assertThat(lines.getLast()).endsWith("my-map.png");
        assertThat(pixels(ImageIO.read(Path.of(lines.getLast()).toFile()))).containsExactly(1, 2, 3, 4);
    }

    @Test
    void terminal_isAsked_andGetsWhatItSaysItCanDraw() throws IOException {
        ByteArrayOutputStream sent = new ByteArrayOutputStream();
        try (Terminal terminal = new DumbTerminal("test", "xterm",
                new ByteArrayInputStream("\033[?62;4c".getBytes(StandardCharsets.US_ASCII)), sent,
                StandardCharsets.UTF_8)) {
            Screen screen = new Screen(Map.of(), () -> terminal);
            Pictures.Picture picture = new Pictures.Picture(picture(2, 0xff0000, 0, 0, 0), "x", "a picture");
            String first = shown(screen, picture);
            assertThat(sent.toString(StandardCharsets.US_ASCII)).contains("\033[c").contains("a=q");
            assertThat(first).startsWith("\033P").contains("a picture");
            assertThat(shown(screen, picture)).as("asked once, drawn again").isEqualTo(first);
            assertThat(shown(new Screen(Map.of("NO_COLOR", "1"), () -> terminal), picture)).contains(".png").doesNotContain("\033");
        }
    }

    @Test
    void images_areShownByTheirEncoding() {
        FloatImage heights = FloatImage.create(2, 1, Encoding.data(new Range(-2, 2), 1));
        heights.write(0, 0, 2, 1, new float[] {-2, 1});
        assertThat(pixels(Pictures.screen(heights, 100))).containsExactly(0, 0xbfbfbf); // (1 + 2) / 4 of 255
        FloatImage normal = FloatImage.create(1, 1, Encoding.normal());
        normal.write(0, 0, 1, 1, new float[] {0, 0, 1});
        assertThat(pixels(Pictures.screen(normal, 100))).containsExactly(0x8080ff);
        // IEC 61966-2-1: linear 0.21586 is 128 of sRGB's 255.
        FloatImage colour = FloatImage.create(1, 1, Encoding.colour(3));
        colour.write(0, 0, 1, 1, new float[] {0.21586f, 1, 0});
        assertThat(pixels(Pictures.screen(colour, 100))).containsExactly(0x80ff00);
        FloatImage ids = FloatImage.create(3, 1, Encoding.idNumbers(1));
        ids.write(0, 0, 3, 1, new float[] {0, 1, 2});
        assertThat(pixels(Pictures.screen(ids, 100))).doesNotHaveDuplicates().startsWith(0);
        // Thinned out, identifiers stay themselves; other values are averaged.
        FloatImage large = FloatImage.create(4, 2, Encoding.data(Range.UNIT, 1));
        large.write(0, 0, 4, 2, new float[] {0, 1, 1, 1, 0, 1, Float.NaN, 1});
        assertThat(pixels(Pictures.screen(large, 2))).containsExactly(0x808080, 0xffffff);
    }

    @Test
    void everyKindOfValue_isAPicture_orSaysWhatIs() throws IOException {
        PrintStream nowhere = new PrintStream(new ByteArrayOutputStream(), true, StandardCharsets.UTF_8);
        Session session = new Session(folder, Map.of(), new ProgressLine(nowhere, false), nowhere);
        Session.setCurrent(session);
        try {
            var shape = Bollard.generate(4000);
            Mesh high = Verbs.smooth(Mesh.builder(shape.positions(), shape.triangles()).name("bollard"));
            Mesh low = Lathe.around(high).sides(12).rings(4).size(64).build();
            Cage cage = Cage.offset(low, 0.05);
            BakeResult result = Verbs.bake(low, high).cage(cage).size(32).samples(1).maps(Verbs.normal(), Verbs.height(), Verbs.coverage())
                    .run();
            Pictures.Picture sheet = Pictures.of(result, session);
            assertThat(sheet.image().getWidth()).isEqualTo(2 * 32 + 8);
            assertThat(sheet.image().getHeight()).isEqualTo(2 * 32 + 8);
            assertThat(sheet.text()).isEqualTo("normal, height | coverage");
            assertThat(Pictures.of(high, session).text()).startsWith("mesh bollard").doesNotContain("UVs");
            assertThat(Pictures.of(low, session).text()).contains("show(uvPicture(…)) draws its UVs");
            for (Object value : List.of(cage, result.map("normal"), result.covered(), Verbs.mips(result.map("height")).build(),
                    result.maps().get(0),
                    result.tile(1001), Verbs.preview(low).size(64))) {
                assertThat(Arrays.stream(pixels(Pictures.of(value, session).image())).distinct().count()).as(Shown.line(value))
                        .isGreaterThan(1);
            }
            Files.createDirectories(folder.resolve("out"));
            Verbs.save(result.map("height"), "out/h.png");
            assertThat(Pictures.of("out/h.png", session).name()).isEqualTo("h.png");
            assertThatThrownBy(() -> Pictures.of(NormalMap.create(), session)).hasMessageContaining("only described")
                    .hasMessageContaining(".run()");
            assertThatThrownBy(() -> Pictures.of(42, session)).hasMessageContaining("42").hasMessageContaining("meshes, cages, images");
            assertThatThrownBy(() -> Pictures.of(List.of(), session)).hasMessageContaining("empty");
        } finally {
            Session.setCurrent(null);
        }
    }
}
