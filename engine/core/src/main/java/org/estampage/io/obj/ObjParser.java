package org.estampage.io.obj;

import java.util.ArrayList;
import java.util.EnumMap;
import java.util.List;
import java.util.Map;
import org.estampage.finding.Finding;
import org.estampage.io.format.FormatException;
import org.estampage.io.obj.ObjBlock.Event;
import org.estampage.io.obj.ObjBlock.Notice;
import org.estampage.io.obj.ObjBlock.Noticed;
import org.estampage.io.obj.ObjBlock.Problem;
import org.estampage.io.obj.ObjBlock.Statement;
import org.estampage.io.shared.FloatList;
import org.estampage.io.shared.IntList;
import org.estampage.io.shared.TextCursor;
import org.jspecify.annotations.Nullable;

/**
 * Turns runs of lines into {@link ObjBlock}s, one after another; its lists keep their room from run to run. Several parsers may work on several
 * runs of a file at once.
 *
 * @threads confined to one thread at a time
 */
final class ObjParser {
    private final TextCursor text = new TextCursor(true);
    private final FloatList positions = new FloatList(1 << 12);
    private final FloatList colours = new FloatList(0);
    private final FloatList uvs = new FloatList(1 << 10);
    private final FloatList normals = new FloatList(1 << 10);
    private final IntList cornerPositions = new IntList(1 << 12);
    private final IntList cornerUvs = new IntList(1 << 10);
    private final IntList cornerNormals = new IntList(1 << 10);
    private final IntList sizes = new IntList(0);
    private boolean hasColours;
    private boolean hasUvs;
    private boolean hasNormals;
    private boolean hasSizes;
    private int faceCount;
    private int expectedLine;
    private IntList jumpFaces = new IntList(4);
    private IntList jumpLines = new IntList(4);
    private List<Event> events = new ArrayList<>();
    private List<Noticed> noticed = new ArrayList<>();
    private Map<Notice, Long> noticeCounts = new EnumMap<>(Notice.class);
    private @Nullable Problem problem;

    ObjParser() {
    }

    /** Reads a run of whole lines, behind which at least {@code LineChunks.SLACK} bytes stand. */
    ObjBlock parse(byte[] bytes, int end) {
        begin();
        text.reset(bytes, 0, end);
        while (problem == null && text.hasMore()) {
            text.skipBlanks();
            int c = text.peek();
            if (c == 'v') {
                int next = text.peek(1);
                if (startsValues(next)) {
                    text.skip(1);
                    vertex();
                } else if (next == 't' && startsValues(text.peek(2))) {
                    text.skip(2);
                    uv();
                } else if (next == 'n' && startsValues(text.peek(2))) {
                    text.skip(2);
                    normal();
                } else {
                    other();
                }
            } else if (c == 'f' && startsValues(text.peek(1))) {
                text.skip(1);
                face();
            } else if (!text.endLine()) {
                other();
            }
        }
        return finish();
    }

    private static boolean startsValues(int c) {
        return c == ' ' || TextCursor.isBlank(c) || c == '\\' || c == '\n' || c == '\r';
    }

    private void begin() {
        positions.truncate(0);
        colours.truncate(0);
        uvs.truncate(0);
        normals.truncate(0);
        cornerPositions.truncate(0);
        cornerUvs.truncate(0);
        cornerNormals.truncate(0);
        sizes.truncate(0);
        hasColours = false;
        hasUvs = false;
        hasNormals = false;
        hasSizes = false;
        faceCount = 0;
        expectedLine = -1;
        jumpFaces = new IntList(4);
        jumpLines = new IntList(4);
        events = new ArrayList<>();
        noticed = new ArrayList<>();
        noticeCounts = new EnumMap<>(Notice.class);
        problem = null;
    }

    private ObjBlock finish() {
        ObjBlock block = new ObjBlock();
        block.lineCount = text.line();
        block.faceCount = faceCount;
        block.positions = positions.copy();
        block.colours = hasColours ? colours.copy() : null;
        block.uvs = uvs.copy();
        block.normals = normals.copy();
        block.cornerPositions = cornerPositions.copy();
        block.cornerUvs = hasUvs ? cornerUvs.copy() : null;
        block.cornerNormals = hasNormals ? cornerNormals.copy() : null;
        block.sizes = hasSizes ? sizes.copy() : null;
        block.events = events;
        block.noticed = noticed;
        block.noticeCounts = noticeCounts;
        block.problem = problem;
        block.jumpFaces = jumpFaces;
        block.jumpLines = jumpLines;
        return block;
    }

    private float value() {
        text.skipBlanks();
        return text.number();
    }

    private void vertex() {
        int line = text.line();
        float x = value(), y = value(), z = value();
        if (text.failed()) {
            fail("a coordinate: v x y z");
            return;
        }
        positions.add(x, y, z);
        if (text.endLine()) {
            if (hasColours) {
                colours.add(1, 1, 1);
            }
        } else {
            moreOfVertex(line);
        }
    }

    /** One value more is a weight, three are a colour. */
    private void moreOfVertex(int line) {
        float a = value();
        text.skipBlanks();
        if (!text.failed() && text.atLineEnd()) {
            if (a != 1) {
                notice(Notice.VERTEX_WEIGHT, line, "");
            }
            if (hasColours) {
                colours.add(1, 1, 1);
            }
        } else {
            float g = value(), b = value();
            if (text.failed()) {
                fail("a vertex: v x y z, v x y z weight, or v x y z red green blue");
                return;
            }
            if (!hasColours) {
                hasColours = true;
                colours.fill(1, positions.size() - 3);
            }
            colours.add(a, g, b);
        }
        endOfValues(line);
    }

    /** Values that we know no meaning for are passed over, but must be numbers. */
    private void endOfValues(int line) {
        if (text.endLine()) {
            return;
        }
        notice(Notice.EXTRA_VALUES, line, "");
        while (!text.endLine()) {
            text.number();
            if (text.failed()) {
                fail("a number or the end of the line");
                return;
            }
            text.skipBlanks();
        }
    }

    private void uv() {
        int line = text.line();
        float u = value();
        text.skipBlanks();
        float v = text.atLineEnd() ? 0 : text.number();
        if (text.failed()) {
            fail("a texture coordinate: vt u v");
            return;
        }
        uvs.add(u, v);
        if (!text.endLine()) {
            float w = text.number();
            if (text.failed()) {
                fail("a number or the end of the line");
                return;
            }
            if (w != 0) { // many programs write a third value of 0
                notice(Notice.EXTRA_VALUES, line, "");
            }
            endOfValues(line);
        }
    }

    private void normal() {
        int line = text.line();
        float x = value(), y = value(), z = value();
        if (text.failed()) {
            fail("a normal: vn x y z");
            return;
        }
        normals.add(x, y, z);
        endOfValues(line);
    }

    private void face() {
        int line = text.line();
        int first = cornerPositions.size();
        while (true) {
            text.skipBlanks();
            if (text.atLineEnd()) {
                break;
            }
            int v = reference(positions.size() / 3);
            int t = ObjBlock.NONE;
            int n = ObjBlock.NONE;
            if (text.peek() == '/') {
                text.skip(1);
                if (text.peek() != '/' && !text.atWordEnd()) {
                    t = reference(uvs.size() / 2);
                }
                if (text.peek() == '/') {
                    text.skip(1);
                    if (!text.atWordEnd()) {
                        n = reference(normals.size() / 3);
                    }
                }
            }
            if (problem != null) {
                return;
            }
            if (text.failed() || !text.atWordEnd()) {
                fail("a face corner such as 1, 1/1, 1//1, 1/1/1 or with negative numbers");
                return;
            }
            addCorner(v, t, n);
        }
        text.endLine();
        int size = cornerPositions.size() - first;
        if (size < 3) {
            cornerPositions.truncate(first);
            cornerUvs.truncate(first);
            cornerNormals.truncate(first);
            notice(Notice.SMALL_FACE, line, "");
            return;
        }
        if (size != 3 && !hasSizes) {
            hasSizes = true;
            sizes.fill(3, faceCount);
        }
        if (hasSizes) {
            sizes.add(size);
        }
        if (line != expectedLine) {
            jumpFaces.add(faceCount);
            jumpLines.add(line);
        }
        expectedLine = line + 1;
        faceCount++;
    }

    private void addCorner(int v, int t, int n) {
        if (t != ObjBlock.NONE && !hasUvs) {
            hasUvs = true;
            cornerUvs.fill(ObjBlock.NONE, cornerPositions.size());
        }
        if (n != ObjBlock.NONE && !hasNormals) {
            hasNormals = true;
            cornerNormals.fill(ObjBlock.NONE, cornerPositions.size());
        }
        cornerPositions.add(v);
        if (hasUvs) {
            cornerUvs.add(t);
        }
        if (hasNormals) {
            cornerNormals.add(n);
        }
    }

    /** Reads an index: counted from 1, or from the end of what the run has so far when negative. */
    private int reference(int count) {
        int index = text.integer();
        if (index > 0) {
            return index - 1;
        }
        if (text.failed()) {
            return 0;
        }
        if (index == 0 || index <= -ObjBlock.RELATIVE) {
            problem = new Problem(text.line(), "index " + index, "1 or more, or −1 or less for the last ones");
            return 0;
        }
        return count + index - ObjBlock.RELATIVE;
    }

    private void other() {
        int line = text.line();
        switch (text.peek()) {
            case 'o' -> {
                if (text.take("o")) {
                    event(Statement.OBJECT, line);
                    return;
                }
            }
            case 'g' -> {
                if (text.take("g")) {
                    event(Statement.GROUP, line);
                    return;
                }
            }
            case 's' -> {
                if (text.take("s")) {
                    event(Statement.SMOOTHING, line);
                    return;
                }
            }
            case 'u' -> {
                if (text.take("usemtl")) {
                    event(Statement.MATERIAL, line);
                    return;
                }
            }
            case 'm' -> {
                if (text.take("mtllib")) {
                    event(Statement.LIBRARY, line);
                    return;
                }
            }
            case 'l', 'p' -> {
                if (text.take("l") || text.take("p")) {
                    notice(Notice.LINE_OR_POINT, line, "");
                    text.skipLine();
                    return;
                }
            }
            default -> {
            }
        }
        notice(Notice.UNKNOWN, line, text.word());
        text.skipLine();
    }

    private void event(Statement statement, int line) {
        events.add(new Event(statement, faceCount, line, text.rest()));
    }

    private void notice(Notice notice, int line, String word) {
        if (noticeCounts.merge(notice, 1L, Long::sum) <= Finding.MAX_PLACES) {
            noticed.add(new Noticed(notice, line, word));
        }
    }

    private void fail(String expected) {
        text.skipBlanks();
        problem = new Problem(text.line(), text.failed() || text.atLineEnd() ? text.quotedWord() : FormatException.quote(text.word()),
                expected);
    }
}
