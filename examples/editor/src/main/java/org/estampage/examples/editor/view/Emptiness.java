package org.estampage.examples.editor.view;

import java.awt.FontMetrics;
import java.awt.Graphics2D;
import javax.swing.JComponent;
import javax.swing.UIManager;

/** What a view shows before there is anything: what to do about it. */
final class Emptiness {
    private Emptiness() {
    }

    /** Draws lines of text in the middle. */
    static void paint(Graphics2D g, JComponent on, String... lines) {
        g.setColor(UIManager.getColor("Panel.background"));
        g.fillRect(0, 0, on.getWidth(), on.getHeight());
        g.setColor(Widgets.pale());
        g.setFont(UIManager.getFont("Label.font"));
        FontMetrics metrics = g.getFontMetrics();
        int y = on.getHeight() / 2 - metrics.getHeight() * lines.length / 2 + metrics.getAscent();
        for (String line : lines) {
            g.drawString(line, (on.getWidth() - metrics.stringWidth(line)) / 2, y);
            y += metrics.getHeight();
        }
    }
}
