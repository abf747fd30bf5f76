package org.estampage.examples.editor.drawing;

import java.awt.image.BufferedImage;
import org.estampage.examples.editor.model.LiveMap;

/** Pictures of maps while they come about. */
public final class LivePicture {
    private LivePicture() {
    }

    /** Returns what there is of a map, transparent where nothing is yet; a pixel may stand for several texels of a large one. */
    public static BufferedImage of(LiveMap map) {
        int side = map.side();
        TexelColours colours = new TexelColours(map.encoding(), MapLook.ALL);
        BufferedImage picture = new BufferedImage(side, side, BufferedImage.TYPE_INT_ARGB_PRE);
        boolean[] there = new boolean[side];
        float[] values = new float[side * map.channels()];
        int[] row = new int[side];
        for (int y = 0; y < side; y++) {
            map.readRow(y, there, values);
            for (int x = 0; x < side; x++) {
                row[x] = there[x] ? colours.argb(values, x * map.channels()) : 0;
            }
            picture.getRaster().setDataElements(0, y, side, 1, row);
        }
        return picture;
    }
}
