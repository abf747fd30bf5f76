package org.estampage.examples.editor.view;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.fail;

import com.formdev.flatlaf.FlatLightLaf;
import java.awt.AWTException;
import java.awt.Component;
import java.awt.Container;
import java.awt.Point;
import java.awt.Rectangle;
import java.awt.Robot;
import java.awt.Toolkit;
import java.awt.event.ActionListener;
import java.awt.event.InputEvent;
import java.awt.image.BufferedImage;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.concurrent.Callable;
import java.util.concurrent.FutureTask;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.atomic.AtomicInteger;
import javax.imageio.ImageIO;
import javax.swing.AbstractButton;
import javax.swing.SwingUtilities;
import org.estampage.examples.editor.model.CageShape;
import org.estampage.examples.editor.model.CageState;
import org.estampage.examples.editor.model.Workspace;

/** A user of an editor window: finds components by their names, moves the mouse, waits, looks at the screen. */
final class Pilot {
    /** Much longer than anything here takes, also on a loaded machine. */
    static final long PATIENCE_SECONDS = 60;
    private static final long GLANCE_MILLIS = 40;

    final Workspace workspace;
    final EditorWindow window;
    /** How often is looked whether a click was heard before it counts as missed: four seconds. */
    private static final int HEARING_GLANCES = 100;
    /** Clicks that met nothing: a layout that never rests fails its test. */
    private static final int MOST_MISSES = 10;

    private final Robot robot;

    private Pilot(Workspace workspace, EditorWindow window, Robot robot) {
        this.workspace = workspace;
        this.window = window;
        this.robot = robot;
    }

    /** Opens an empty window in the upper left corner of the screen. */
    static Pilot open(int width, int height) throws Exception {
        return onEventThread(() -> {
            FlatLightLaf.setup();
            Workspace workspace = new Workspace();
            EditorWindow window = new EditorWindow(workspace);
            window.frame().setBounds(0, 0, width, height);
            window.frame().setVisible(true);
            return new Pilot(workspace, window, robot());
        });
    }

    private static Robot robot() throws AWTException {
        return new Robot();
    }

    static <T> T onEventThread(Callable<T> body) throws Exception {
        FutureTask<T> task = new FutureTask<>(body);
        SwingUtilities.invokeLater(task);
        return task.get(PATIENCE_SECONDS, TimeUnit.SECONDS);
    }

    static void run(Runnable body) throws Exception {
        SwingUtilities.invokeAndWait(body);
    }

    /** Waits until something is so that the event dispatch thread knows. */
    static void until(String what, Callable<Boolean> holds) throws Exception {
        untilSeen(what, () -> onEventThread(holds));
    }

    /** Waits until something is so that is seen from outside. */
    static void untilSeen(String what, Callable<Boolean> holds) throws Exception {
        long start = System.nanoTime();
        while (!holds.call()) {
            if (System.nanoTime() - start > TimeUnit.SECONDS.toNanos(PATIENCE_SECONDS)) {
                fail("waited %d s until %s; the screen then is in %s", PATIENCE_SECONDS, what, photograph());
            }
            TimeUnit.MILLISECONDS.sleep(GLANCE_MILLIS);
        }
    }

    /**
     * Lets the event dispatch thread do what it was told, and what that told it, and has the screen show it. The robot's own waiting also waits for the
     * screen's events, and now and then for the ten seconds in which it takes none of them for all of them; who needs an event waits for what it does.
     */
    static void settle() throws Exception {
        for (int i = 0; i < 3; i++) {
            run(Toolkit.getDefaultToolkit()::sync);
        }
    }

    /** Keeps what the whole screen shows as a file. */
    private static Path photograph() throws Exception {
        Path file = Files.createTempFile(Files.createDirectories(Path.of("target")), "screen", ".png");
        ImageIO.write(new Robot().createScreenCapture(new Rectangle(Toolkit.getDefaultToolkit().getScreenSize())), "png", file.toFile());
        return file;
    }

    /** Returns the component of a name, which must be there. */
    <T extends Component> T find(String name, Class<T> type) throws Exception {
        return onEventThread(() -> {
            List<Component> all = new ArrayList<>();
            collect(window.frame(), all);
            List<Component> named = all.stream().filter(component -> name.equals(component.getName())).toList();
            assertThat(named).as("components called " + name).hasSize(1);
            return type.cast(named.getFirst());
        });
    }

    static void collect(Container container, List<Component> dest) {
        for (Component component : container.getComponents()) {
            dest.add(component);
            if (component instanceof Container inner) {
                collect(inner, dest);
            }
        }
    }

    /** Returns what the screen shows of a component. */
    BufferedImage look(Component component) throws Exception {
        Rectangle place = onEventThread(() -> new Rectangle(component.getLocationOnScreen(), component.getSize()));
        return robot.createScreenCapture(place);
    }

    /** Returns what the screen shows of the 3D view once the cage is that of the settings, and its finest picture is drawn. */
    BufferedImage atRest(SceneView view) throws Exception {
        until("the cage is as it is set", () -> {
            CageState state = workspace.cage().state().get();
            CageShape shape = state.shape();
            double offset = workspace.cage().settings().get().offset();
            // An offset is kept in a float a vertex.
            return state.phase() == CageState.Phase.CHECKED && shape != null
                    && Math.abs(shape.cage().largestOffset() - offset) <= 1e-6 * offset;
        });
        until("the 3D view is at rest", view::isAtRest);
        settle(); // it is painted
        return look(view);
    }

    /** Moves the pointer to a place of a component. */
    void point(Component component, int x, int y) throws Exception {
        Point at = onEventThread(component::getLocationOnScreen);
        robot.mouseMove(at.x + x, at.y + y);
        settle();
    }

    /** Presses the left button at one place, moves to another in steps, and lets go; between the steps it does what it is told. */
    void drag(Component component, Point from, Point to, int steps, Step between) throws Exception {
        point(component, from.x, from.y);
        robot.mousePress(InputEvent.BUTTON1_DOWN_MASK);
        for (int step = 1; step <= steps; step++) {
            point(component, from.x + (to.x - from.x) * step / steps, from.y + (to.y - from.y) * step / steps);
            between.after(step);
        }
        robot.mouseRelease(InputEvent.BUTTON1_DOWN_MASK);
        settle();
    }

    /** What is done between the steps of a drag. */
    @FunctionalInterface
    interface Step {
        void after(int step) throws Exception;
    }

    /** Clicks on the middle of a component that can be used; on a button again where it moved away meanwhile, as a user would. */
    void click(Component component) throws Exception {
        AtomicInteger heard = new AtomicInteger();
        ActionListener ear = event -> heard.incrementAndGet();
        if (component instanceof AbstractButton button) {
            until(component.getName() + " can be clicked", button::isEnabled);
            run(() -> button.addActionListener(ear));
        } else {
            heard.set(1); // nothing tells
        }
        int misses = 0;
        do {
            clickAtRest(component);
            for (int i = 0; i < HEARING_GLANCES && onEventThread(heard::get) == 0; i++) {
                TimeUnit.MILLISECONDS.sleep(GLANCE_MILLIS);
            }
        } while (heard.get() == 0 && ++misses < MOST_MISSES);
        if (component instanceof AbstractButton button) {
            run(() -> button.removeActionListener(ear));
            assertThat(heard).as("clicks that " + component.getName() + " heard").hasValue(1);
        }
    }

    private void clickAtRest(Component component) throws Exception {
        // What was changed just now may move it.
        Point[] last = {new Point(-1, -1)};
        untilSeen("it rests", () -> {
            settle();
            Point before = last[0];
            last[0] = onEventThread(component::getLocationOnScreen);
            return last[0].equals(before);
        });
        Point middle = onEventThread(() -> new Point(component.getWidth() / 2, component.getHeight() / 2));
        drag(component, middle, middle, 1, step -> {
        });
    }

    /** Presses a key and lets go. */
    void type(int key) throws Exception {
        robot.keyPress(key);
        robot.keyRelease(key);
        settle();
    }

    /** Closes the window. */
    void close() throws Exception {
        run(window.frame()::dispose);
    }
}
