package org.estampage.examples.editor.view;

import java.awt.Color;
import java.awt.Component;
import java.awt.Graphics;
import java.awt.Graphics2D;
import javax.swing.Icon;

/**
 * A round spot of a colour.
 *
 * @param colour the colour
 */
record Dot(Color colour) implements Icon {
    private static final int SIDE = 10;

    @Override
    public void paintIcon(Component component, Graphics graphics, int x, int y) {
        Graphics2D g = Widgets.smooth(graphics);
        g.setColor(colour);
        g.fillOval(x, y, SIDE, SIDE);
        g.dispose();
    }

    @Override
    public int getIconWidth() {
        return SIDE;
    }

    @Override
    public int getIconHeight() {
        return SIDE;
    }
}
