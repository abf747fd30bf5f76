package org.estampage.report;

import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.util.ArrayList;
import java.util.Base64;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import org.estampage.bake.BakeResult;
import org.estampage.bake.BakedMap;
import org.estampage.bake.BakedTile;
import org.estampage.image.Encoding;
import org.estampage.image.FloatImage;
import org.estampage.image.Mips;
import org.estampage.io.png.PngWriter;
import org.estampage.task.Task;

/**
 * A map's copy on the page: small enough, 8 bits, one or three channels.
 *
 * @param id         of its element
 * @param name       the map's, as people read it
 * @param tile       which tile it is of
 * @param full       the image that was baked
 * @param copy       what the page has of it, raw values with the map's encoding
 * @param firstChannel the channel of the map that the copy's first one is
 * @param map        the map
 * @param png        the copy as a file, in base 64
 */
record PageMap(String id, String name, BakedTile tile, FloatImage full, FloatImage copy, int firstChannel, BakedMap map, String png) {
    /** The most texels of all copies together: about a hundred megabytes of page. */
    private static final long MOST_TEXELS = 40L << 20;

    /** Returns the copies of all maps, tile by tile, in the job's order. */
    static List<PageMap> of(BakeResult result, int mostSide, Task task) throws IOException {
        int maps = result.tiles().get(0).maps().size() * result.tiles().size();
        int side = mostSide;
        while (side > 64 && (long) side * side * maps > MOST_TEXELS) {
            side /= 2;
        }
        List<PageMap> pages = new ArrayList<>();
        Task.Stage stage = task.stage("copying maps for the page", maps);
        for (BakedTile tile : result.tiles()) {
            for (BakedMap map : tile.maps()) {
                FloatImage small = smaller(map.image(), side, task);
                String suffix = result.job().isUdim() ? " " + tile.number() : "";
                for (int first = 0; first < small.channels(); first += 3) {
                    FloatImage planes = planes(small, first);
                    pages.add(new PageMap("map" + pages.size(), map.name() + suffix + (first > 0 ? ", channel 4" : ""), tile, map.image(),
                            planes, first, map, png(planes, task)));
                }
                stage.advance(1);
            }
        }
        return pages;
    }

    /** Returns the copy's number of channels that are the map's. */
    int channels() {
        return Math.min(3, map.image().channels() - firstChannel);
    }

    /** Returns the image, or the first level of its mips that is not larger than wanted. */
    static FloatImage smaller(FloatImage image, int side, Task task) {
        if (Math.max(image.width(), image.height()) <= side) {
            return image;
        }
        Mips mips = Mips.of(image).downTo(side).task(task);
        return (image.encoding().kind() == Encoding.Kind.NORMAL ? mips.unitLength() : mips).build().getLast();
    }

    /** Returns up to three channels; two are followed by an empty third, since a second channel would be taken for opacity. */
    private static FloatImage planes(FloatImage image, int first) {
        int count = Math.min(3, image.channels() - first);
        if (count == image.channels() && count != 2) {
            return image;
        }
        Encoding encoding = image.encoding();
        List<org.estampage.image.Range> ranges = new ArrayList<>(encoding.ranges().subList(first, first + count));
        if (count == 2) {
            ranges.add(ranges.get(1));
        }
        // the fourth channel of a colour is stored without the curve of the other three
        Encoding.Kind kind = encoding.kind() == Encoding.Kind.COLOUR && first > 0 ? Encoding.Kind.DATA : encoding.kind();
        FloatImage out = FloatImage.create(image.width(), image.height(), new Encoding(kind, ranges));
        float[] in = new float[image.width() * image.channels()];
        float[] row = new float[image.width() * out.channels()];
        for (int y = 0; y < image.height(); y++) {
            image.read(0, y, image.width(), 1, in);
            for (int i = 0; i < row.length; i++) {
                int channel = i % out.channels();
                row[i] = channel < count ? in[i / out.channels() * image.channels() + first + channel] : ranges.get(channel).atZero();
            }
            out.write(0, y, image.width(), 1, row);
        }
        return out;
    }

    /** Returns an image as a PNG file of 8 bits, in base 64. */
    static String png(FloatImage image, Task task) throws IOException {
        ByteArrayOutputStream out = new ByteArrayOutputStream();
        PngWriter.write(image, 8, Map.of(), out, task);
        return Base64.getEncoder().encodeToString(out.toByteArray());
    }

    /** Returns what the page's script must know. */
    Map<String, Object> data() {
        Map<String, Object> data = new LinkedHashMap<>();
        data.put("id", id);
        data.put("name", name);
        data.put("role", map.name());
        data.put("firstChannel", firstChannel);
        data.put("column", tile.tile().column());
        data.put("row", tile.tile().row());
        data.put("number", tile.number());
        data.put("width", copy.width());
        data.put("height", copy.height());
        data.put("fullWidth", full.width());
        data.put("fullHeight", full.height());
        data.put("kind", copy.encoding().kind().name().toLowerCase(java.util.Locale.ROOT));
        data.put("channels", channels());
        data.put("tangent", map.tangentSpace());
        data.put("ranges", copy.encoding().ranges().stream().map(r -> List.of(r.atZero(), r.atOne())).toList());
        return data;
    }
}
