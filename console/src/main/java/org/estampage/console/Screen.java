package org.estampage.console;

import java.awt.image.BufferedImage;
import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.PrintStream;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Arrays;
import java.util.Base64;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.concurrent.TimeUnit;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import javax.imageio.ImageIO;
import org.jline.terminal.Attributes;
import org.jline.terminal.Terminal;
import org.jspecify.annotations.Nullable;

/**
 * Where pictures are shown: in the terminal, by a protocol that it answers to or as half blocks; else by the desktop's viewer; else as a file.
 *
 * <p>What a terminal can do is asked of the terminal, never guessed from its name.
 *
 * @threads confined
 * @source The terminal graphics protocol's specification, "Querying support and available transmission mediums" and "The transmission medium", as published
 *         with its first implementation; ECMA-48 8.3.24 (DA), whose answer's parameter 4 says Sixel (VT510 Programmer Information, 1993, DA1); both from memory
 */
final class Screen {
    /** How long a terminal may think about an answer: one beyond a network needs a fraction of it. */
    private static final long ANSWER_MILLIS = 400;
    /** Asks for graphics with an image of one pixel, for the size of a cell, and last for what every terminal answers. */
    private static final String QUESTION = "\033_Gi=31,s=1,v=1,a=q,t=d,f=24;AAAA\033\\\033[16t\033[c";
    private static final Pattern CELL = Pattern.compile("\033\\[6;(\\d+);(\\d+)t");
    private static final Pattern ATTRIBUTES = Pattern.compile("\033\\[\\?([\\d;]+)c");
    private static final int USUAL_CELL_WIDTH = 8;
    private static final int USUAL_CELL_HEIGHT = 16;
    private static final int USUAL_COLUMNS = 80;
    /** A larger picture is not clearer as blocks of text. */
    private static final int MOST_BLOCKS = 160;
    /** A picture of few pixels is enlarged to about this many, where the terminal draws pixels. */
    private static final int LEAST_PIXELS = 256;
    private static final int CHUNK = 4096;

    /** How a terminal shows pictures. */
    enum Way {
        GRAPHICS, SIXEL, TRUE_COLOUR, COLOURS_256
    }

    /**
     * What a terminal answered.
     *
     * @param way        the best way it has
     * @param cellWidth  pixels
     * @param cellHeight pixels
     */
    record Ability(Way way, int cellWidth, int cellHeight) {
    }

    private final Map<String, String> environment;
    private final @Nullable Device device;
    private @Nullable Terminal terminal;
    private @Nullable Ability ability;

    /** A terminal that is opened when the first picture is shown. */
    interface Device {
        Terminal open() throws IOException;
    }

    /**
     * Makes one.
     *
     * @param environment the process' own
     * @param device      the terminal; null where there is none
     */
    Screen(Map<String, String> environment, @Nullable Device device) {
        this.environment = environment;
        this.device = device;
    }

    /** Returns a screen that only writes files. */
    static Screen none() {
        return new Screen(Map.of(), null);
    }

    /** Shows a picture, with a line of text under it. */
    void show(Pictures.Picture picture, PrintStream out) throws IOException {
        if (device != null && terminal == null) {
            terminal = device.open();
        }
        if (terminal != null && hasColours(terminal)) {
            Ability able = ability == null ? ask(terminal, environment) : ability;
            ability = able;
            out.print(drawn(picture.image(), able, columns(terminal), terminal.getSize().getRows()));
            out.println(picture.text());
            return;
        }
        Path file = Files.createTempDirectory("estampage-").resolve(picture.name().replaceAll("[^\\p{L}\\d.-]+", "-") + ".png");
        ImageIO.write(picture.image(), "png", file.toFile());
        out.println(picture.text());
        out.println(open(file) ? "shown by the desktop, from " + file : file.toString());
    }

    private boolean hasColours(Terminal opened) {
        return environment.getOrDefault("NO_COLOR", "").isEmpty() && !opened.getType().startsWith(Terminal.TYPE_DUMB);
    }

    private static int columns(Terminal terminal) {
        return terminal.getSize().getColumns() > 0 ? terminal.getSize().getColumns() : USUAL_COLUMNS;
    }

    /** Asks a terminal what it can do. */
    private static Ability ask(Terminal terminal, Map<String, String> environment) throws IOException {
        Attributes before = terminal.enterRawMode();
        StringBuilder answer = new StringBuilder();
        try {
            terminal.writer().print(QUESTION);
            terminal.writer().flush();
            long end = System.nanoTime() + ANSWER_MILLIS * 1_000_000;
            while (System.nanoTime() < end && !ATTRIBUTES.matcher(answer).find()) {
                int c = terminal.reader().read(20);
                if (c >= 0) {
                    answer.append((char) c);
                }
            }
        } finally {
            terminal.setAttributes(before);
        }
        return ability(answer.toString(), environment);
    }

    /** Returns what an answer means. */
    static Ability ability(String answer, Map<String, String> environment) {
        Matcher cell = CELL.matcher(answer);
        boolean told = cell.find();
        int height = told ? Math.max(1, Integer.parseInt(cell.group(1))) : USUAL_CELL_HEIGHT;
        int width = told ? Math.max(1, Integer.parseInt(cell.group(2))) : USUAL_CELL_WIDTH;
        Matcher attributes = ATTRIBUTES.matcher(answer);
        boolean sixel = attributes.find() && Arrays.asList(attributes.group(1).split(";")).contains("4");
        String depth = environment.getOrDefault("COLORTERM", "").toLowerCase(Locale.ROOT);
        boolean trueColour = depth.equals("truecolor") || depth.equals("24bit");
        Way way = answer.contains("\033_Gi=31;OK")
                ? Way.GRAPHICS
                : sixel ? Way.SIXEL : trueColour ? Way.TRUE_COLOUR : Way.COLOURS_256;
        return new Ability(way, width, height);
    }

    /** Returns the text that draws a picture on a terminal of so many columns and rows; rows may be unknown, 0. */
    static String drawn(BufferedImage image, Ability ability, int columns, int rows) throws IOException {
        boolean pixels = ability.way == Way.GRAPHICS || ability.way == Way.SIXEL;
        int mostWidth = pixels ? columns * ability.cellWidth : Math.min(columns, MOST_BLOCKS);
        int rowsFree = Math.max(1, (rows > 0 ? rows : Integer.MAX_VALUE / 64) - 2); // a line of text below, and the prompt
        int mostHeight = pixels ? rowsFree * ability.cellHeight : 2 * rowsFree;
        double factor = Math.min((double) mostWidth / image.getWidth(), (double) mostHeight / image.getHeight());
        if (factor > 1) {
            int longer = Math.max(image.getWidth(), image.getHeight());
            factor = pixels ? Math.max(1, Math.min(Math.floor(factor), Math.floor((double) LEAST_PIXELS / longer))) : 1;
        }
        int width = Math.max(1, (int) (image.getWidth() * factor)), height = Math.max(1, (int) (image.getHeight() * factor));
        BufferedImage fitting = width == image.getWidth() && height == image.getHeight() ? image : Pictures.scaled(image, width, height);
        return switch (ability.way) {
            case GRAPHICS -> graphics(fitting) + "\n";
            case SIXEL -> Sixel.of(fitting) + "\n";
            case TRUE_COLOUR -> HalfBlocks.of(fitting, true);
            case COLOURS_256 -> HalfBlocks.of(fitting, false);
        };
    }

    /** Returns a picture by the terminal graphics protocol: a PNG file in pieces; the terminal is not to answer. */
    private static String graphics(BufferedImage image) throws IOException {
        ByteArrayOutputStream png = new ByteArrayOutputStream();
        ImageIO.write(image, "png", png);
        String data = Base64.getEncoder().encodeToString(png.toByteArray());
        StringBuilder text = new StringBuilder();
        for (int from = 0; from < data.length(); from += CHUNK) {
            int to = Math.min(data.length(), from + CHUNK);
            text.append("\033_G").append(from == 0 ? "a=T,f=100,q=2," : "").append("m=").append(to < data.length() ? 1 : 0).append(';')
                    .append(data, from, to).append("\033\\");
        }
        return text.toString();
    }

    /** Opens a file with the desktop's viewer; returns whether there is a desktop, and it took it. */
    private boolean open(Path file) {
        String system = System.getProperty("os.name").toLowerCase(Locale.ROOT);
        List<String> command;
        if (environment.containsKey("DISPLAY") || environment.containsKey("WAYLAND_DISPLAY")) {
            command = List.of("xdg-open", file.toString());
        } else if (system.startsWith("mac") && !environment.isEmpty() && !environment.containsKey("SSH_CONNECTION")) {
            command = List.of("open", file.toString());
        } else if (system.startsWith("windows") && !environment.isEmpty()) {
            command = List.of("cmd", "/c", "start", "", file.toString());
        } else {
            return false;
        }
        try {
            ProcessBuilder builder = new ProcessBuilder(command).redirectErrorStream(true).redirectOutput(ProcessBuilder.Redirect.DISCARD);
            Process process = builder.start();
            // It hands the file on and ends, or stays as the viewer itself.
            return !process.waitFor(2, TimeUnit.SECONDS) || process.exitValue() == 0;
        } catch (IOException e) {
            return false; // no such program: no desktop
        } catch (InterruptedException e) {
            Thread.currentThread().interrupt();
            return false;
        }
    }
}
