package org.estampage.examples.editor.view;

import java.awt.Color;
import java.awt.Dimension;
import java.awt.Graphics;
import java.awt.Graphics2D;
import java.awt.Point;
import java.awt.Rectangle;
import java.awt.RenderingHints;
import java.awt.event.ComponentAdapter;
import java.awt.event.ComponentEvent;
import java.awt.event.MouseAdapter;
import java.awt.event.MouseEvent;
import java.awt.event.MouseWheelEvent;
import java.awt.geom.AffineTransform;
import java.awt.geom.Point2D;
import java.awt.geom.Rectangle2D;
import java.awt.image.BufferedImage;
import javax.swing.UIManager;
import org.estampage.examples.editor.drawing.MapSheet;
import org.jspecify.annotations.Nullable;

/**
 * A map, flat, with the loupe.
 *
 * <p>Mouse: move for the loupe, drag to shift, wheel to come closer, double click to see all. Keys: arrows move the loupe by a texel, with Shift by ten, with
 * Ctrl shift the map; plus and minus; Home to see all; 1 for a pixel a texel; Escape puts the loupe away.
 */
final class MapView extends PaintedView {
    private static final long serialVersionUID = 1;
    private static final double ZOOM_A_NOTCH = 1.2;
    private static final int SHIFT_A_KEY = 40;
    private static final int CHECKER = 8;
    /** From so many pixels a texel on, texels are drawn as squares. */
    private static final double SQUARES = 1;

    private transient @Nullable MapSheet sheet;
    private transient @Nullable BufferedImage live;
    private int width = 1;
    private int height = 1;
    private transient @Nullable MapCamera camera;
    private @Nullable Point texel;
    private @Nullable Point pointer;
    private @Nullable Point dragged;

    MapView() {
        super("map view", "Map");
        setPreferredSize(new Dimension(420, 480));
        Hand hand = new Hand();
        addMouseListener(hand);
        addMouseMotionListener(hand);
        addMouseWheelListener(hand);
        addComponentListener(new ComponentAdapter() {
            @Override
            public void componentResized(ComponentEvent event) {
                repaint();
            }
        });
        addKeys();
    }

    private void addKeys() {
        String[] keys = {"LEFT", "RIGHT", "UP", "DOWN"};
        int[] across = {-1, 1, 0, 0}, down = {0, 0, -1, 1};
        for (int i = 0; i < keys.length; i++) {
            int dx = across[i], dy = down[i];
            Widgets.onKey(this, keys[i], () -> moveLoupe(dx, dy));
            Widgets.onKey(this, "shift " + keys[i], () -> moveLoupe(10 * dx, 10 * dy));
            Widgets.onKey(this, "ctrl " + keys[i], () -> look(seen().shifted(dx * SHIFT_A_KEY, dy * SHIFT_A_KEY)));
        }
        for (String plus : new String[] {"PLUS", "EQUALS", "ADD"}) {
            Widgets.onKey(this, plus, () -> zoom(ZOOM_A_NOTCH, getWidth() / 2.0, getHeight() / 2.0));
        }
        for (String minus : new String[] {"MINUS", "SUBTRACT"}) {
            Widgets.onKey(this, minus, () -> zoom(1 / ZOOM_A_NOTCH, getWidth() / 2.0, getHeight() / 2.0));
        }
        Widgets.onKey(this, "HOME", () -> look(null));
        Widgets.onKey(this, "1", () -> look(new MapCamera(1, seen().x(), seen().y())));
        Widgets.onKey(this, "ESCAPE", this::putLoupeAway);
    }

    /** Shows a map, from the same side as the one before if it is as large. */
    void show(MapSheet next) {
        resized(next.width(), next.height());
        sheet = next;
        live = null;
        repaint();
    }

    /**
     * Shows a map that is being baked.
     *
     * @param image its pixels, transparent where nothing is yet; they may stand for several texels each
     */
    void show(BufferedImage image, int texelsWide, int texelsHigh) {
        resized(texelsWide, texelsHigh);
        sheet = null;
        live = image;
        texel = null;
        repaint();
    }

    /** Shows nothing. */
    void clear() {
        sheet = null;
        live = null;
        texel = null;
        repaint();
    }

    /** Brings a texel into the middle, with the loupe on it. */
    void goTo(int x, int y) {
        if (sheet != null) {
            camera = new MapCamera(Math.max(seen().zoom(), 4), x + 0.5, y + 0.5);
            texel = new Point(x, y);
            pointer = null;
            repaint();
        }
    }

    private void resized(int texelsWide, int texelsHigh) {
        if (texelsWide != width || texelsHigh != height) {
            width = texelsWide;
            height = texelsHigh;
            camera = null;
            texel = null;
        }
    }

    /** Returns the camera; all of the map until the user chose a part. */
    private MapCamera seen() {
        return camera != null ? camera : MapCamera.whole(width, height, Math.max(1, getWidth()), Math.max(1, getHeight()));
    }

    private void look(@Nullable MapCamera next) {
        camera = next;
        repaint();
    }

    private void zoom(double times, double atX, double atY) {
        look(seen().closer(times, atX, atY, getWidth(), getHeight()));
    }

    private void moveLoupe(int dx, int dy) {
        if (sheet == null) {
            return;
        }
        Point from = texel == null ? new Point((int) seen().x(), (int) seen().y()) : texel;
        texel = new Point(Math.clamp(from.x + (long) dx, 0, width - 1), Math.clamp(from.y + (long) dy, 0, height - 1));
        pointer = null;
        repaint();
    }

    private void putLoupeAway() {
        texel = null;
        repaint();
    }

    private void point(MouseEvent event) {
        Point2D at = seen().texelAt(event.getX() + 0.5, event.getY() + 0.5, getWidth(), getHeight());
        int x = (int) Math.floor(at.getX()), y = (int) Math.floor(at.getY());
        boolean inside = sheet != null && x >= 0 && y >= 0 && x < width && y < height;
        texel = inside ? new Point(x, y) : null;
        pointer = event.getPoint();
        repaint();
    }

    @Override
    protected void paintComponent(Graphics graphics) {
        Graphics2D g = Widgets.smooth(graphics);
        BufferedImage image = sheet != null ? sheet.level(seen().zoom() * screenScale()) : live;
        if (image == null) {
            Emptiness.paint(g, this, "Maps appear here, block by block, once a bake runs.");
        } else {
            g.setColor(UIManager.getColor("Panel.background"));
            g.fillRect(0, 0, getWidth(), getHeight());
            paintMap(g, image);
            if (sheet != null && texel != null) {
                paintLoupe(g, sheet, texel);
            }
        }
        g.dispose();
    }

    private void paintMap(Graphics2D g, BufferedImage image) {
        AffineTransform toView = seen().toView(getWidth(), getHeight());
        Rectangle2D frame = toView.createTransformedShape(new Rectangle(width, height)).getBounds2D();
        paintChecker(g, frame);
        boolean squares = toView.getScaleX() * width / image.getWidth() >= SQUARES;
        g.setRenderingHint(RenderingHints.KEY_INTERPOLATION,
                squares ? RenderingHints.VALUE_INTERPOLATION_NEAREST_NEIGHBOR : RenderingHints.VALUE_INTERPOLATION_BILINEAR);
        AffineTransform fromPixels = new AffineTransform(toView);
        fromPixels.scale((double) width / image.getWidth(), (double) height / image.getHeight());
        g.drawImage(image, fromPixels, null);
        g.setColor(UIManager.getColor("Component.borderColor"));
        g.draw(frame);
    }

    private void paintChecker(Graphics2D g, Rectangle2D frame) {
        Rectangle shown = frame.getBounds().intersection(new Rectangle(getWidth(), getHeight()));
        Color base = UIManager.getColor("Panel.background");
        boolean darkWindow = base.getRed() < 128;
        g.setColor(darkWindow ? new Color(0x2B2F33) : new Color(0xE4E7E9));
        g.fill(shown);
        g.setColor(darkWindow ? new Color(0x34393E) : new Color(0xD3D8DB));
        for (int y = shown.y / CHECKER; y * CHECKER < shown.y + shown.height; y++) {
            for (int x = shown.x / CHECKER; x * CHECKER < shown.x + shown.width; x++) {
                if ((x + y) % 2 == 0) {
                    g.fill(new Rectangle(x * CHECKER, y * CHECKER, CHECKER, CHECKER).intersection(shown));
                }
            }
        }
    }

    private void paintLoupe(Graphics2D g, MapSheet shown, Point at) {
        Rectangle2D texelFrame = seen().toView(getWidth(), getHeight()).createTransformedShape(new Rectangle(at.x, at.y, 1, 1))
                .getBounds2D();
        if (texelFrame.getWidth() >= 3) {
            g.setColor(Color.WHITE);
            g.draw(texelFrame);
        }
        Point beside = pointer != null ? pointer : new Point((int) texelFrame.getCenterX(), (int) texelFrame.getCenterY());
        Loupe.paint(g, shown, at.x, at.y, Loupe.place(beside.x, beside.y, getWidth(), getHeight()));
    }

    /** The mouse. */
    private final class Hand extends MouseAdapter {
        @Override
        public void mousePressed(MouseEvent event) {
            requestFocusInWindow();
            dragged = event.getPoint();
        }

        @Override
        public void mouseReleased(MouseEvent event) {
            dragged = null;
        }

        @Override
        public void mouseDragged(MouseEvent event) {
            Point before = dragged;
            if (before != null) {
                look(seen().shifted(before.x - event.getX(), before.y - event.getY()));
                dragged = event.getPoint();
            }
            point(event);
        }

        @Override
        public void mouseMoved(MouseEvent event) {
            point(event);
        }

        @Override
        public void mouseExited(MouseEvent event) {
            putLoupeAway();
        }

        @Override
        public void mouseWheelMoved(MouseWheelEvent event) {
            zoom(Math.pow(ZOOM_A_NOTCH, -event.getPreciseWheelRotation()), event.getX(), event.getY());
            point(event);
        }

        @Override
        public void mouseClicked(MouseEvent event) {
            if (event.getClickCount() == 2) {
                look(null);
            }
        }
    }
}
