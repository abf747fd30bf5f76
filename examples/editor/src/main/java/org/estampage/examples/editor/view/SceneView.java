package org.estampage.examples.editor.view;

import java.awt.Dimension;
import java.awt.Graphics;
import java.awt.Graphics2D;
import java.awt.RenderingHints;
import java.awt.event.ComponentAdapter;
import java.awt.event.ComponentEvent;
import java.awt.event.MouseAdapter;
import java.awt.event.MouseEvent;
import java.awt.event.MouseWheelEvent;
import java.awt.geom.AffineTransform;
import javax.swing.SwingUtilities;
import javax.swing.Timer;
import org.estampage.examples.editor.drawing.Picture;
import org.estampage.examples.editor.drawing.ScenePainter;
import org.estampage.examples.editor.drawing.Scene;
import org.estampage.examples.editor.drawing.ScenePalette;
import org.estampage.examples.editor.model.CageState;
import org.estampage.examples.editor.model.Lane;
import org.estampage.examples.editor.model.Layers;
import org.estampage.examples.editor.model.Outcome;
import org.estampage.examples.editor.model.Spot;
import org.estampage.examples.editor.model.ViewPoint;
import org.estampage.examples.editor.model.Workspace;
import org.estampage.task.Progress;
import org.joml.Vector3d;
import org.jspecify.annotations.Nullable;

/**
 * The meshes and the cage in space. While something moves, coarse pictures follow each other; once it rests, they get finer.
 *
 * <p>Mouse: drag to turn, drag with Shift or the middle button to shift, wheel to come closer, double click to look at a point. Keys: arrows, with Shift to
 * shift, plus and minus, Home to see all.
 */
final class SceneView extends PaintedView {
    private static final long serialVersionUID = 1;

    /** Pictures from coarse to fine: a pixel for so many of the screen, or so many samples a pixel. */
    private static final int[] BLOCK = {4, 2, 1, 1};
    private static final int[] SAMPLES = {1, 1, 1, 2};
    /** Who pauses this long while dragging wants to see something. */
    private static final int REST_MILLIS = 140;
    private static final double DEGREES_A_PIXEL = 0.45;
    private static final double ZOOM_A_NOTCH = 1.12;
    private static final double DEGREES_A_KEY = 7.5;

    private final transient Workspace workspace;
    private final transient Lane lane = new Lane("editor 3D view");
    private final Timer rest = new Timer(REST_MILLIS, event -> refine());
    private transient @Nullable Picture picture;
    private int stage;
    /** Which of the pictures is shown; −1 while something newer is on its way. */
    private int shown = -1;
    private boolean dark;
    private transient @Nullable MouseEvent dragged;

    SceneView(Workspace workspace) {
        super("3D view", "3D view of the meshes and the cage");
        this.workspace = workspace;
        rest.setRepeats(false);
        setPreferredSize(new Dimension(560, 480));
        workspace.viewPoint().onChange(from -> moved());
        workspace.layers().onChange(layers -> moved());
        workspace.meshes().low().onChange(low -> moved());
        workspace.meshes().highs().onChange(highs -> moved());
        workspace.cage().state().onChange(this::cageChanged);
        workspace.spot().onChange(this::goTo);
        addComponentListener(new ComponentAdapter() {
            @Override
            public void componentResized(ComponentEvent event) {
                moved();
            }
        });
        Hand hand = new Hand();
        addMouseListener(hand);
        addMouseMotionListener(hand);
        addMouseWheelListener(hand);
        addKeys();
    }

    /** Takes the colours of dark windows, or of light ones. */
    void setDark(boolean value) {
        dark = value;
        moved();
    }

    private void addKeys() {
        key("LEFT", from -> from.turned(-DEGREES_A_KEY, 0));
        key("RIGHT", from -> from.turned(DEGREES_A_KEY, 0));
        key("UP", from -> from.turned(0, DEGREES_A_KEY));
        key("DOWN", from -> from.turned(0, -DEGREES_A_KEY));
        key("shift LEFT", from -> from.shifted(-0.05, 0));
        key("shift RIGHT", from -> from.shifted(0.05, 0));
        key("shift UP", from -> from.shifted(0, 0.05));
        key("shift DOWN", from -> from.shifted(0, -0.05));
        for (String plus : new String[] {"PLUS", "EQUALS", "ADD"}) {
            key(plus, from -> from.farther(1 / ZOOM_A_NOTCH));
        }
        for (String minus : new String[] {"MINUS", "SUBTRACT"}) {
            key(minus, from -> from.farther(ZOOM_A_NOTCH));
        }
        Widgets.onKey(this, "HOME", workspace::lookAtAll);
    }

    private void key(String key, java.util.function.UnaryOperator<ViewPoint> change) {
        Widgets.onKey(this, key, () -> workspace.viewPoint().set(change.apply(workspace.viewPoint().get())));
    }

    private void cageChanged(CageState state) {
        if (workspace.layers().get().cage()) {
            moved();
        }
    }

    private void goTo(@Nullable Spot spot) {
        if (spot instanceof Spot.InSpace place) {
            ViewPoint all = ViewPoint.whole(workspace.meshes().bounds());
            workspace.viewPoint().set(
                    workspace.viewPoint().get().at(place.point(), Math.min(workspace.viewPoint().get().distance(), all.distance() / 4)));
        }
    }

    /** Something is no longer as it was drawn: a coarse picture at once, finer ones once it rests. */
    private void moved() {
        shown = -1;
        if (stage > 0) {
            lane.cancel();
        }
        draw(0);
        rest.restart();
    }

    private void refine() {
        if (lane.isBusy()) {
            rest.restart();
        } else {
            draw(1);
        }
    }

    private void draw(int quality) {
        double scale = screenScale();
        int width = (int) Math.ceil(getWidth() * scale / BLOCK[quality]), height = (int) Math.ceil(getHeight() * scale / BLOCK[quality]);
        Scene scene = scene();
        if (width < 1 || height < 1) {
            return;
        }
        if (scene.isEmpty()) {
            picture = null;
            repaint();
            return;
        }
        stage = quality;
        ViewPoint from = workspace.viewPoint().get();
        double lineScale = Math.max(1, scale / BLOCK[quality]);
        lane.run(task -> ScenePainter.paint(scene, from, width, height, SAMPLES[quality], lineScale, task), Progress.none(),
                Outcome.of(drawn -> drawn(drawn, quality), workspace.jobs().notice()::set));
    }

    /** Returns whether what is shown is as fine as it gets, and nothing newer is on its way. */
    boolean isAtRest() {
        return shown == BLOCK.length - 1 && !lane.isBusy() && !rest.isRunning();
    }

    private void drawn(Picture drawn, int quality) {
        picture = drawn;
        shown = lane.isBusy() || rest.isRunning() ? -1 : quality;
        repaint();
        if (quality > 0 && quality + 1 < BLOCK.length && !rest.isRunning()) {
            draw(quality + 1);
        }
    }

    private Scene scene() {
        Layers layers = workspace.layers().get();
        return new Scene(layers.high() ? workspace.meshes().highs().get() : java.util.List.of(),
                layers.low() ? workspace.meshes().low().get() : null, layers.cage() ? workspace.cage().state().get().shape() : null,
                dark ? ScenePalette.DARK : ScenePalette.LIGHT);
    }

    @Override
    protected void paintComponent(Graphics graphics) {
        Graphics2D g = Widgets.smooth(graphics);
        Picture now = picture;
        if (now == null) {
            Emptiness.paint(g, this, "Drop a low poly here on the left, high polys on the right,", "or open them with the buttons beside.");
        } else {
            g.setRenderingHint(RenderingHints.KEY_INTERPOLATION, RenderingHints.VALUE_INTERPOLATION_BILINEAR);
            g.drawImage(now.image(), AffineTransform.getScaleInstance((double) getWidth() / now.image().getWidth(),
                    (double) getHeight() / now.image().getHeight()), null);
            if (workspace.layers().get().cage()) {
                ConflictMarks.paint(g, this, now, workspace.cage().state().get().conflicts());
            }
        }
        g.dispose();
    }

    /** The mouse. */
    private final class Hand extends MouseAdapter {
        @Override
        public void mousePressed(MouseEvent event) {
            requestFocusInWindow();
            dragged = event;
        }

        @Override
        public void mouseReleased(MouseEvent event) {
            dragged = null;
        }

        @Override
        public void mouseDragged(MouseEvent event) {
            MouseEvent before = dragged;
            if (before == null) {
                return;
            }
            dragged = event;
            int dx = event.getX() - before.getX(), dy = event.getY() - before.getY();
            ViewPoint from = workspace.viewPoint().get();
            boolean shifts = event.isShiftDown() || SwingUtilities.isMiddleMouseButton(event);
            workspace.viewPoint().set(shifts
                    ? from.shifted(-(double) dx / getHeight(), (double) dy / getHeight())
                    : from.turned(-dx * DEGREES_A_PIXEL, dy * DEGREES_A_PIXEL));
        }

        @Override
        public void mouseWheelMoved(MouseWheelEvent event) {
            workspace.viewPoint().set(workspace.viewPoint().get().farther(Math.pow(ZOOM_A_NOTCH, event.getPreciseWheelRotation())));
        }

        @Override
        public void mouseClicked(MouseEvent event) {
            Picture now = picture;
            if (event.getClickCount() == 2 && now != null) {
                Vector3d point = now.pointAt((double) event.getX() / getWidth(), (double) event.getY() / getHeight());
                if (point != null) {
                    workspace.viewPoint().set(workspace.viewPoint().get().at(point));
                }
            }
        }
    }
}
