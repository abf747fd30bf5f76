package org.estampage.examples.editor.view;

import java.awt.BasicStroke;
import java.awt.Color;
import java.awt.Graphics2D;
import java.awt.geom.Ellipse2D;
import java.util.List;
import javax.swing.JComponent;
import org.estampage.cage.CageConflict;
import org.estampage.examples.editor.drawing.Lens;
import org.estampage.examples.editor.drawing.Picture;
import org.joml.Vector3d;

/** Rings around places where the high poly and the cage are in conflict, as far as they are seen. */
final class ConflictMarks {
    /** So many are drawn, taken evenly from all: more would hide what they mark. */
    private static final int MOST = 400;
    private static final double RADIUS = 4;

    private ConflictMarks() {
    }

    static void paint(Graphics2D g, JComponent on, Picture picture, List<CageConflict> conflicts) {
        Lens lens = new Lens(picture.from(), picture.image().getWidth(), picture.image().getHeight());
        int step = 1 + conflicts.size() / MOST;
        for (int i = 0; i < conflicts.size(); i += step) {
            CageConflict conflict = conflicts.get(i);
            Vector3d point = new Vector3d(conflict.x(), conflict.y(), conflict.z());
            if (picture.shows(point)) {
                Vector3d at = lens.project(point);
                ring(g, at.x * on.getWidth(), at.y * on.getHeight());
            }
        }
    }

    private static void ring(Graphics2D g, double x, double y) {
        Ellipse2D circle = new Ellipse2D.Double(x - RADIUS, y - RADIUS, 2 * RADIUS, 2 * RADIUS);
        g.setColor(new Color(0, 0, 0, 110));
        g.setStroke(new BasicStroke(2.6f));
        g.draw(circle);
        g.setColor(Color.WHITE);
        g.setStroke(new BasicStroke(1.2f));
        g.draw(circle);
    }
}
