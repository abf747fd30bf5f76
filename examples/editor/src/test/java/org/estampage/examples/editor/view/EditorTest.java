package org.estampage.examples.editor.view;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

import java.awt.Component;
import java.awt.Point;
import java.awt.Rectangle;
import java.awt.event.KeyEvent;
import java.awt.geom.Point2D;
import java.awt.image.BufferedImage;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Objects;
import java.util.Optional;
import java.util.concurrent.CountDownLatch;
import java.util.concurrent.TimeUnit;
import javax.swing.JButton;
import javax.swing.JCheckBox;
import javax.swing.JComboBox;
import javax.swing.JComponent;
import javax.swing.JLabel;
import javax.swing.JList;
import javax.swing.JSlider;
import javax.swing.JSpinner;
import javax.swing.JTextField;
import org.estampage.bake.BakeEstimate;
import org.estampage.bake.BakeResult;
import org.estampage.bake.BakedTile;
import org.estampage.bvh.Bvh;
import org.estampage.examples.editor.model.CageState;
import org.estampage.examples.editor.model.Jobs;
import org.estampage.examples.editor.model.OpenMesh;
import org.estampage.examples.editor.model.SaveFormat;
import org.estampage.handover.Manifest;
import org.estampage.image.FloatImage;
import org.estampage.io.ImageFiles;
import org.estampage.io.MeshFiles;
import org.estampage.mesh.Axis;
import org.estampage.mesh.Mesh;
import org.estampage.task.Task;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.Assumptions;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.TestInstance;
import org.junit.jupiter.api.io.TempDir;

/** The editor as its user sees it. Needs Xvfb; where it is missing the tests are passed over, in CI they fail. */
@TestInstance(TestInstance.Lifecycle.PER_CLASS)
class EditorTest {
    /** What a user is promised, and how often it is tried. */
    private static final double CANCEL_SECONDS = 0.5;
    private static final int CANCEL_TRIES = 8;

    private BollardFiles bollard;
    private Pilot pilot;
    private EventThreadWatch watch;

    @BeforeAll
    void openScreen(@TempDir Path folder) throws Exception {
        Optional<Path> program = Screen.program();
        if (System.getenv("CI") != null) {
            assertThat(program).as("Xvfb, which .ci/run installs").isPresent();
        }
        Assumptions.assumeTrue(program.isPresent(), "Xvfb is not installed");
        Screen.open(program.get(), 1280, 800);
        bollard = BollardFiles.in(folder, 20_000);
    }

    @BeforeEach
    void openWindow() throws Exception {
        pilot = Pilot.open(1280, 800);
        watch = EventThreadWatch.begin();
    }

    @AfterEach
    void closeWindow() throws Exception {
        watch.close();
        pilot.close();
        assertThat(watch.looks()).as("looks at the event dispatch thread").isPositive();
        assertThat(watch.caught()).as("engine work on the event dispatch thread").isEmpty();
    }

    private void openBollard() throws Exception {
        open(bollard.low());
    }

    private void open(Path low) throws Exception {
        Pilot.run(() -> pilot.workspace.meshes().openAll(low, List.of(bollard.high())));
        Pilot.until("the cage is checked", () -> pilot.workspace.cage().state().get().phase() == CageState.Phase.CHECKED);
    }

    private static boolean isTeal(int pixel) {
        return (pixel & 0xFF) - (pixel >> 16 & 0xFF) > 40;
    }

    /** Returns from the leftmost to the rightmost column with the cage's colour. */
    private static int cageWidth(BufferedImage image) {
        int least = image.getWidth(), most = -1;
        for (int x = 0; x < image.getWidth(); x++) {
            for (int y = 0; y < image.getHeight(); y++) {
                if (isTeal(image.getRGB(x, y))) {
                    least = Math.min(least, x);
                    most = Math.max(most, x);
                }
            }
        }
        return most - least;
    }

    @Test
    void offset_dragged_movesTheCagesPixels() throws Exception {
        openBollard();
        SceneView view = pilot.find("3D view", SceneView.class);
        JSlider slider = pilot.find("cage offset", JSlider.class);
        int[] widths = new int[5];
        double before = pilot.workspace.cage().settings().get().offset();
        int step = slider.getWidth() / 8;
        int thumb = 8 + (slider.getWidth() - 16) * slider.getValue() / slider.getMaximum();
        int y = slider.getHeight() / 2;
        // Coarse pictures lack the cage's thin lines, so only finest ones are measured; they come in a pause of a drag, too.
        widths[0] = cageWidth(pilot.atRest(view));
        pilot.drag(slider, new Point(thumb, y), new Point(thumb + 4 * step, y), 4, now -> {
            Pilot.until("the slider follows", () -> pilot.workspace.cage().settings().get().offset() > before * (1 + 0.5 * now));
            // One picture of some twenty runs was still the one before, for no reason that was found: the last one counts.
            Pilot.untilSeen("the cage is wider in step " + now + " of the drag", () -> {
                widths[now] = cageWidth(pilot.atRest(view));
                return widths[now] > widths[now - 1];
            });
        });
        double after = pilot.workspace.cage().settings().get().offset();
        assertThat(after).isGreaterThan(2 * before);
        // What is seen of the offset is about twice its difference: the foot is 0.55 wide, and its cage that much plus two offsets. Perspective shows what
        // comes nearer a little larger.
        double expected = (0.55 + 2 * after) / (0.55 + 2 * before);
        assertThat((double) cageWidth(pilot.atRest(view)) / widths[0]).isCloseTo(expected, within(0.08));
    }

    private void settings(int size, int rays) throws Exception {
        Pilot.run(() -> pilot.workspace.bake().settings().set(pilot.workspace.bake().settings().get().withSize(size).withRays(rays)));
    }

    /** Returns how much of the middle of a view is bluish, as normals are and no window is. */
    private static double bluish(BufferedImage image) {
        int count = 0, all = 0;
        for (int y = image.getHeight() / 4; y < image.getHeight() * 3 / 4; y++) {
            for (int x = image.getWidth() / 4; x < image.getWidth() * 3 / 4; x++) {
                count += (image.getRGB(x, y) & 0xFF) > 200 && isTeal(image.getRGB(x, y)) ? 1 : 0;
                all++;
            }
        }
        return (double) count / all;
    }

    @Test
    void bake_fillsBlockByBlock_thenTheLoupeShowsItsTexels_andSavedFilesReadBack() throws Exception {
        openBollard();
        settings(512, 64);
        JComponent view = pilot.find("map view", JComponent.class);
        assertThat(bluish(pilot.look(view))).isZero();
        pilot.click(pilot.find("bake", JButton.class));
        double[] share = new double[1];
        Pilot.untilSeen("some blocks are filled", () -> {
            share[0] = bluish(pilot.look(view));
            return share[0] > 0.02;
        });
        assertThat(Pilot.onEventThread(pilot.workspace.jobs()::isBusy)).as("still baking when blocks were seen").isTrue();
        Pilot.until("the bake ends", () -> pilot.workspace.bake().result().get() != null);
        Pilot.untilSeen("all is filled", () -> bluish(pilot.look(view)) > Math.max(0.5, share[0] + 0.1));
        loupeShowsTexels(view, result().tile(1001));
        saves();
        JLabel forecast = pilot.find("forecast", JLabel.class);
        Pilot.until("the next bake's time is foretold", () -> forecast.getText().contains("pace of the last bake"));
    }

    private BakeResult result() {
        return Objects.requireNonNull(pilot.workspace.bake().result().get());
    }

    private void loupeShowsTexels(JComponent view, BakedTile tile) throws Exception {
        FloatImage normals = tile.map("normal");
        int w = view.getWidth(), h = view.getHeight(), x = w / 2 + 3, y = h / 2 + 2;
        pilot.point(view, x - 3, y);
        pilot.point(view, x, y);
        Rectangle loupe = Loupe.place(x, y, w, h);
        Point2D at = MapCamera.whole(normals.width(), normals.height(), w, h).texelAt(x + 0.5, y + 0.5, w, h);
        Pilot.untilSeen("the loupe's texels are the map's",
                () -> showsTexels(pilot.look(view), loupe, normals, (int) at.getX(), (int) at.getY()));
    }

    private static boolean showsTexels(BufferedImage seen, Rectangle loupe, FloatImage normals, int x, int y) {
        for (int row = -Loupe.SIDE / 2; row <= Loupe.SIDE / 2; row++) {
            for (int column = -Loupe.SIDE / 2; column <= Loupe.SIDE / 2; column++) {
                int expected = 0;
                for (int channel = 0; channel < 3; channel++) {
                    float raw = normals.get(x + column, y + row, channel);
                    expected = (expected << 8) | normals.encoding().quantise(channel, raw, 8);
                }
                Point middle = Loupe.middleOf(loupe, column, row);
                if ((seen.getRGB(middle.x, middle.y) & 0xFFFFFF) != expected) {
                    return false;
                }
            }
        }
        return true;
    }

    private void saves() throws Exception {
        Path folder = Files.createTempDirectory(bollard.low().getParent(), "saved");
        JTextField field = pilot.find("folder", JTextField.class);
        JCheckBox model = pilot.find("model", JCheckBox.class);
        Pilot.run(() -> {
            field.setText(folder.toString());
            model.setSelected(true);
        });
        pilot.click(pilot.find("save", JButton.class));
        JLabel notice = pilot.find("notice", JLabel.class);
        Pilot.until("the files are named", () -> notice.isShowing() && notice.getText().contains("bollard-low-manifest.json"));
        FloatImage written = ImageFiles.readNormals(folder.resolve("bollard-low-normal.png"));
        FloatImage baked = result().map("normal");
        for (int x = 0; x < baked.width(); x += 37) {
            // Half a step of 16 bits over −1 … 1, and a float's rounding.
            assertThat(written.get(x, 300, 0)).isCloseTo(baked.get(x, 300, 0), within(1.01f / 65535));
        }
        assertThat(Manifest.read(folder.resolve("bollard-low-manifest.json")).text()).contains("occlusion");
        assertThat(MeshFiles.read(folder.resolve("bollard-low.glb"), Task.silent()).triangleCount())
                .isEqualTo(result().low().triangleCount());
    }

    @Test
    void tiles_areShownOneByOne_withTheirOwnTexels_andSaved() throws Exception {
        open(bollard.tiled());
        settings(128, 1);
        JComponent view = pilot.find("map view", JComponent.class);
        JComboBox<?> tile = pilot.find("tile", JComboBox.class);
        assertThat(tile.isVisible()).as("a choice where there is nothing to choose").isFalse();
        pilot.click(pilot.find("bake", JButton.class));
        Pilot.until("the bake ends", () -> pilot.workspace.bake().result().get() != null);
        assertThat(result().tiles()).extracting(BakedTile::number).containsExactly(1001, 1002);
        assertThat(tile.isVisible()).isTrue();
        Pilot.until("a map is shown", () -> pilot.workspace.bake().live().get() == null);
        loupeShowsTexels(view, result().tile(1001));
        Pilot.run(() -> tile.setSelectedItem(1002));
        loupeShowsTexels(view, result().tile(1002));
        Path folder = Files.createTempDirectory(bollard.low().getParent(), "tiles");
        Pilot.run(() -> pilot.workspace.saving().start(folder, "bollard", SaveFormat.PNG, true));
        Pilot.until("all is saved", () -> !pilot.workspace.jobs().isBusy());
        assertThat(folder.resolve("bollard-normal.1001.png")).exists();
        assertThat(folder.resolve("bollard-normal.1002.png")).exists();
        assertThat(folder.resolve("bollard.glb")).exists();
    }

    @Test
    void forecast_isThatOfTheLatestSettings() throws Exception {
        openBollard();
        settings(512, 64);
        settings(2048, 16);
        settings(256, 8);
        Pilot.until("there is a forecast", () -> pilot.workspace.bake().forecast().get() != null);
        BakeEstimate told = Pilot.onEventThread(() -> Objects.requireNonNull(Objects.requireNonNull(
                pilot.workspace.bake().forecast().get()).estimate()));
        // Four samples look for the surface, and 8 rays ask how open it is.
        assertThat(told.rays()).isEqualTo(told.texels() * (4 + 8));
        assertThat(told.texels()).isBetween(1L, 256L * 256);
    }

    @Test
    void filesWithZUp_areTurned_andBack() throws Exception {
        openBollard();
        OpenMesh low = Objects.requireNonNull(pilot.workspace.meshes().low().get());
        JCheckBox box = pilot.find("z up", JCheckBox.class);
        pilot.click(box);
        Pilot.until("they are turned", () -> box.isSelected() && !pilot.workspace.jobs().isBusy());
        OpenMesh turned = Objects.requireNonNull(pilot.workspace.meshes().low().get());
        OpenMesh high = pilot.workspace.meshes().highs().get().getFirst();
        // A quarter turn around x: what was z is y, and what was y points to −z.
        for (int v = 0; v < low.mesh().vertexCount(); v++) {
            assertThat(turned.mesh().positions()[3 * v + 1]).isEqualTo(low.mesh().positions()[3 * v + 2]);
            assertThat(turned.mesh().positions()[3 * v + 2]).isEqualTo(-low.mesh().positions()[3 * v + 1]);
        }
        assertThat(high.mesh().positions()).isEqualTo(high.stored().up(Axis.Z).positions());
        pilot.click(box);
        Pilot.until("they stand again", () -> !box.isSelected() && !pilot.workspace.jobs().isBusy());
        assertThat(Objects.requireNonNull(pilot.workspace.meshes().low().get()).mesh().positions()).isEqualTo(low.mesh().positions());
    }

    @Test
    void cancel_endsABakeWithinHalfASecond_andAnotherCanStart() throws Exception {
        openBollard();
        settings(2048, 64);
        // A try that the machine was busy elsewhere in says nothing; nor do the first, whose code is not compiled yet. One of a few must keep the promise.
        double best = Double.POSITIVE_INFINITY;
        for (int tries = 0; tries < CANCEL_TRIES && best > CANCEL_SECONDS; tries++) {
            best = Math.min(best, secondsToCancel());
            assertThat(pilot.workspace.bake().result().get()).isNull();
        }
        assertThat(best).as("seconds from the press to the end, best of %d", CANCEL_TRIES).isLessThanOrEqualTo(CANCEL_SECONDS);
        settings(128, 4);
        Pilot.run(pilot.workspace.bake()::start);
        Pilot.until("another bake ends", () -> pilot.workspace.bake().result().get() != null);
    }

    /** Cancels a bake that has blocks behind it; that it ends at all is held by the pilot's patience. */
    private double secondsToCancel() throws Exception {
        Pilot.run(pilot.workspace.bake()::start);
        Pilot.until("the bake is on its way", () -> {
            Jobs.Running running = pilot.workspace.jobs().running().get();
            return running != null && running.stage().equals("baking") && running.part() > 0;
        });
        long[] times = new long[2];
        CountDownLatch over = new CountDownLatch(1);
        Pilot.run(() -> {
            pilot.workspace.jobs().running().onChange(running -> {
                if (running == null) {
                    times[1] = System.nanoTime();
                    over.countDown();
                } else if (running.stopping()) {
                    times[0] = System.nanoTime();
                }
            });
        });
        pilot.click(pilot.find("cancel", JButton.class));
        assertThat(over.await(Pilot.PATIENCE_SECONDS, TimeUnit.SECONDS)).as("the bake has stopped").isTrue();
        return (times[1] - times[0]) * 1e-9;
    }

    @Test
    void everyControl_hasAName_forWhoDoesNotSeeIt() throws Exception {
        openBollard();
        List<Component> all = Pilot.onEventThread(() -> {
            List<Component> found = new ArrayList<>();
            Pilot.collect(pilot.window.frame().getContentPane(), found);
            return found.stream().filter(EditorTest::isOurs).toList();
        });
        assertThat(all).hasSizeGreaterThan(30);
        assertThat(all).allSatisfy(component -> assertThat(component.getAccessibleContext().getAccessibleName()).isNotBlank());
    }

    /** Returns whether a component is one that we made and a user can use; parts of combo boxes and the like are the toolkit's. */
    private static boolean isOurs(Component component) {
        boolean usable = component instanceof JButton || component instanceof JCheckBox || component instanceof JTextField
                || component instanceof JSlider
                || component instanceof JSpinner || component instanceof JComboBox<?> || component instanceof JList<?>
                || component instanceof PaintedView;
        return usable && component.getName() != null && !component.getName().contains(".");
    }

    @Test
    void keys_turnTheView() throws Exception {
        openBollard();
        JComponent view = pilot.find("3D view", JComponent.class);
        pilot.click(view);
        Pilot.until("keys go to the view", view::isFocusOwner);
        double before = pilot.workspace.viewPoint().get().azimuth();
        pilot.type(KeyEvent.VK_RIGHT);
        Pilot.until("the view turns", () -> pilot.workspace.viewPoint().get().azimuth() > before + 5);
        pilot.type(KeyEvent.VK_HOME);
        Pilot.until("all is seen again", () -> pilot.workspace.viewPoint().get().azimuth() == before);
    }

    /** Shows that the watch catches what it is there for. */
    @Test
    void engineWorkOnTheEventThread_isCaught() throws Exception {
        Mesh mesh = MeshFiles.read(bollard.high(), Task.silent());
        try (EventThreadWatch own = EventThreadWatch.begin()) {
            Pilot.run(() -> {
                long start = System.nanoTime();
                while (own.caught().isEmpty() && System.nanoTime() - start < TimeUnit.SECONDS.toNanos(20)) {
                    Bvh.build(mesh, Task.silent());
                }
            });
            assertThat(own.caught()).isNotEmpty();
        }
        watch.forget();
    }

    @Test
    void unreadableFile_isToldInTheWindow_withPlaceAndRemedy() throws Exception {
        Path broken = Files.writeString(bollard.low().resolveSibling("broken.obj"), "v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 7\n");
        JLabel notice = pilot.find("notice", JLabel.class);
        Pilot.run(() -> pilot.workspace.meshes().openLow(broken));
        Pilot.until("the problem is told", () -> notice.isShowing() && notice.getText().contains("broken.obj:4"));
        assertThat(notice.getText()).contains("expected").doesNotContain("Exception");
        Pilot.run(() -> pilot.workspace.meshes().openLow(broken.resolveSibling("nowhere.obj")));
        Pilot.until("the missing file is told", () -> notice.getText().contains("nowhere.obj"));
        openBollard();
        assertThat(pilot.workspace.meshes().low().get()).isNotNull();
    }
}
