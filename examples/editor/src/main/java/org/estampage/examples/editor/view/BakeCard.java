package org.estampage.examples.editor.view;

import java.awt.GridLayout;
import java.time.Duration;
import java.util.EnumMap;
import java.util.Map;
import javax.swing.JButton;
import javax.swing.JCheckBox;
import javax.swing.JComboBox;
import javax.swing.JLabel;
import javax.swing.JPanel;
import javax.swing.JSpinner;
import javax.swing.SpinnerNumberModel;
import org.estampage.bake.BakeEstimate;
import org.estampage.examples.editor.model.BakeModel;
import org.estampage.examples.editor.model.BakeSettings;
import org.estampage.examples.editor.model.Forecast;
import org.estampage.examples.editor.model.MapChoice;
import org.estampage.examples.editor.model.OpenMesh;
import org.estampage.examples.editor.model.Workspace;
import org.estampage.task.MemoryBudget;
import org.jspecify.annotations.Nullable;

/** Which maps are to be baked, how large and how finely, what that will take, and the button that starts it. */
final class BakeCard {
    private static final Integer[] SIZES = {128, 256, 512, 1024, 2048, 4096, 8192};
    private static final int MOST_RAYS = 4096;
    private static final long MEGABYTE = 1 << 20;

    private final BakeModel model;
    private final JPanel panel = Widgets.card("Maps");
    private final Map<MapChoice, JCheckBox> choices = new EnumMap<>(MapChoice.class);
    private final JComboBox<Integer> size = Widgets.named(new JComboBox<>(SIZES), "size", "Size of the maps in texels");
    private final JSpinner samples = Widgets.named(new JSpinner(new SpinnerNumberModel(2, 1, 8, 1)), "samples",
            "Samples a texel in each direction");
    private final JSpinner rays = Widgets.named(new JSpinner(new SpinnerNumberModel(64, 1, MOST_RAYS, 16)), "rays",
            "Rays a texel of maps that look all around");
    private final JCheckBox tiled = Widgets.named(new JCheckBox("An image for each UDIM tile"), "tiled", "An image for each UDIM tile");
    private final JLabel forecast = Widgets.hint("forecast", 3);
    private final JButton start;

    BakeCard(Workspace workspace) {
        model = workspace.bake();
        JPanel grid = new JPanel(new GridLayout(0, 2, Widgets.NEAR, 0));
        grid.setOpaque(false);
        for (MapChoice map : MapChoice.values()) {
            JCheckBox box = Widgets.named(new JCheckBox(map.title()), "map " + map.name(), map.title() + " map");
            box.setToolTipText(map.about());
            box.addActionListener(event -> model.settings().set(model.settings().get().with(map, box.isSelected())));
            choices.put(map, box);
            grid.add(box);
        }
        grid.setMaximumSize(new java.awt.Dimension(Integer.MAX_VALUE, grid.getPreferredSize().height));
        rays.setMaximumSize(rays.getPreferredSize());
        samples.setMaximumSize(samples.getPreferredSize());
        size.addActionListener(event -> {
            if (size.getSelectedItem() instanceof Integer side) {
                model.settings().set(model.settings().get().withSize(side));
            }
        });
        samples.setToolTipText("n for n × n samples a texel");
        samples.addChangeListener(event -> model.settings().set(model.settings().get().withSamples((Integer) samples.getValue())));
        rays.setToolTipText("For occlusion, bent normals and thickness; more is smoother and slower");
        rays.addChangeListener(event -> model.settings().set(model.settings().get().withRays((Integer) rays.getValue())));
        start = Widgets.button("bake", "Bake", "Bake the chosen maps (Ctrl+B)", event -> model.start());
        Widgets.add(panel, grid);
        Widgets.add(panel, Widgets.row(Widgets.label("Size", 'z', size), size, null, Widgets.label("Samples", 'm', samples), samples));
        Widgets.add(panel, Widgets.row(Widgets.label("Rays a texel", 'y', rays), rays, null));
        Widgets.add(panel, tiled);
        tiled.setToolTipText("Off: charts outside 0 to 1 are copies of charts within, and are not baked");
        tiled.addActionListener(event -> model.settings().set(model.settings().get().withTiled(tiled.isSelected())));
        Widgets.add(panel, forecast);
        Widgets.add(panel, Widgets.row(null, start));
        model.settings().show(this::show);
        workspace.meshes().low().onChange(low -> showState(workspace));
        workspace.meshes().highs().onChange(highs -> showState(workspace));
        workspace.jobs().running().onChange(running -> showState(workspace));
        model.settings().onChange(settings -> showState(workspace));
        model.forecast().onChange(made -> showState(workspace));
        showState(workspace);
    }

    /** Returns the component. */
    JPanel component() {
        return panel;
    }

    /** Returns the button that starts a bake. */
    JButton startButton() {
        return start;
    }

    private void show(BakeSettings settings) {
        choices.forEach((map, box) -> box.setSelected(settings.maps().contains(map)));
        size.setSelectedItem(settings.size());
        samples.setValue(settings.samples());
        rays.setValue(settings.rays());
        tiled.setSelected(settings.tiled());
    }

    private void showState(Workspace workspace) {
        String missing = model.missing();
        OpenMesh low = workspace.meshes().low().get();
        tiled.setVisible(low != null && low.isOnTiles());
        start.setEnabled(missing.isEmpty() && !workspace.jobs().isBusy());
        forecast.setText(Widgets.wrapped(missing.isEmpty() ? forecast(model.forecast().get()) : missing, 205));
    }

    private static String forecast(@Nullable Forecast made) {
        if (made == null) {
            return "";
        }
        BakeEstimate estimate = made.estimate();
        if (estimate == null) {
            return made.problem();
        }
        Duration time = made.time();
        return "About " + Widgets.grouped(Math.max(1, estimate.rays() / 1_000_000)) + " million rays"
                + (time == null ? "" : ", " + Widgets.spoken(time) + " at the pace of the last bake") + "; up to "
                + Widgets.grouped(Math.max(1, estimate.peakBytes() / MEGABYTE)) + " MB beside the meshes, of "
                + Widgets.grouped(MemoryBudget.ofHeap().bytes() / MEGABYTE) + " MB.";
    }
}
