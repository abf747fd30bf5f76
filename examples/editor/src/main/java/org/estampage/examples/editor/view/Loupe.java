package org.estampage.examples.editor.view;

import java.awt.BasicStroke;
import java.awt.Color;
import java.awt.FontMetrics;
import java.awt.Graphics2D;
import java.awt.Point;
import java.awt.Rectangle;
import java.awt.geom.RoundRectangle2D;
import java.util.List;
import javax.swing.UIManager;
import org.estampage.examples.editor.drawing.MapSheet;
import org.estampage.examples.editor.drawing.TexelStory;

/** The loupe: the texels around one, each a square large enough to see, and what the one in the middle tells. */
final class Loupe {
    /** Texels a side, odd so that one is in the middle. */
    static final int SIDE = 9;
    /** Pixels a texel. */
    static final int MAGNIFIED = 14;
    private static final int PAD = 8;
    private static final int AWAY = 22;
    private static final int LINES_WIDTH = 226;
    private static final int ARC = 10;

    private Loupe() {
    }

    /** Returns where the loupe for a pointer stands in a view: beside it, and inside as long as there is room. */
    static Rectangle place(int pointerX, int pointerY, int viewWidth, int viewHeight) {
        int width = SIDE * MAGNIFIED + LINES_WIDTH + 3 * PAD, height = SIDE * MAGNIFIED + 2 * PAD;
        int x = pointerX + AWAY + width <= viewWidth ? pointerX + AWAY : pointerX - AWAY - width;
        int y = pointerY + AWAY + height <= viewHeight ? pointerY + AWAY : pointerY - AWAY - height;
        return new Rectangle(Math.clamp(x, 0, Math.max(0, viewWidth - width)), Math.clamp(y, 0, Math.max(0, viewHeight - height)), width,
                height);
    }

    /** Returns the middle of a magnified texel, so many columns and rows from the one in the middle. */
    static Point middleOf(Rectangle place, int column, int row) {
        return new Point(place.x + PAD + (SIDE / 2 + column) * MAGNIFIED + MAGNIFIED / 2,
                place.y + PAD + (SIDE / 2 + row) * MAGNIFIED + MAGNIFIED / 2);
    }

    /** Draws the loupe for a texel. */
    static void paint(Graphics2D g, MapSheet sheet, int texelX, int texelY, Rectangle at) {
        RoundRectangle2D frame = new RoundRectangle2D.Double(at.x, at.y, at.width, at.height, ARC, ARC);
        g.setColor(UIManager.getColor("ToolTip.background"));
        g.fill(frame);
        g.setColor(UIManager.getColor("Component.borderColor"));
        g.setStroke(new BasicStroke(1));
        g.draw(frame);
        paintTexels(g, sheet, texelX, texelY, at.x + PAD, at.y + PAD);
        paintStory(g, TexelStory.of(sheet, texelX, texelY).lines(), at.x + 2 * PAD + SIDE * MAGNIFIED, at.y + PAD);
    }

    private static void paintTexels(Graphics2D g, MapSheet sheet, int texelX, int texelY, int left, int top) {
        for (int row = 0; row < SIDE; row++) {
            for (int column = 0; column < SIDE; column++) {
                int x = texelX + column - SIDE / 2, y = texelY + row - SIDE / 2;
                if (x >= 0 && y >= 0 && x < sheet.width() && y < sheet.height()) {
                    g.setColor(new Color(sheet.argb(x, y), true));
                    g.fillRect(left + column * MAGNIFIED, top + row * MAGNIFIED, MAGNIFIED, MAGNIFIED);
                }
            }
        }
        int middle = SIDE / 2 * MAGNIFIED;
        g.setColor(Color.BLACK);
        g.drawRect(left + middle - 1, top + middle - 1, MAGNIFIED + 1, MAGNIFIED + 1);
        g.setColor(Color.WHITE);
        g.drawRect(left + middle - 2, top + middle - 2, MAGNIFIED + 3, MAGNIFIED + 3);
    }

    private static void paintStory(Graphics2D g, List<String> lines, int left, int top) {
        g.setColor(UIManager.getColor("ToolTip.foreground"));
        g.setFont(Widgets.monospaced(11));
        FontMetrics metrics = g.getFontMetrics();
        int y = top + metrics.getAscent();
        for (String line : lines) {
            g.drawString(line, left, y);
            y += metrics.getHeight();
        }
    }
}
