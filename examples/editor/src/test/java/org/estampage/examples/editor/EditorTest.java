package org.estampage.examples.editor;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

import java.awt.Point;
import java.awt.image.BufferedImage;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.Optional;
import javax.swing.JComponent;
import javax.swing.JLabel;
import javax.swing.JSlider;
import org.estampage.examples.editor.model.CageState;
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
        Pilot.run(() -> pilot.workspace.meshes().openAll(bollard.low(), List.of(bollard.high())));
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
        JComponent view = pilot.find("3D view", JComponent.class);
        JSlider slider = pilot.find("cage offset", JSlider.class);
        Pilot.untilSeen("the cage is drawn", () -> cageWidth(pilot.look(view)) > 100);
        int[] widths = new int[5];
        double before = pilot.workspace.cage().settings().get().offset();
        int step = slider.getWidth() / 8;
        int thumb = 8 + (slider.getWidth() - 16) * slider.getValue() / slider.getMaximum();
        int y = slider.getHeight() / 2;
        widths[0] = cageWidth(pilot.look(view));
        pilot.drag(slider, new Point(thumb, y), new Point(thumb + 4 * step, y), 4, now -> {
            int last = widths[now - 1];
            Pilot.untilSeen("the cage grows while the slider is dragged", () -> cageWidth(pilot.look(view)) > last + 3);
            widths[now] = cageWidth(pilot.look(view));
        });
        double after = pilot.workspace.cage().settings().get().offset();
        assertThat(after).isGreaterThan(2 * before);
        // What is seen of the offset is about twice its difference: the foot is 0.55 wide, and its cage that much plus two offsets.
        double expected = (0.55 + 2 * after) / (0.55 + 2 * before);
        assertThat((double) widths[4] / widths[0]).isCloseTo(expected, within(0.08));
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
