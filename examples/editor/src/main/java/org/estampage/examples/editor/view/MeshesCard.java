package org.estampage.examples.editor.view;

import java.util.List;
import javax.swing.BoxLayout;
import javax.swing.JButton;
import javax.swing.JCheckBox;
import javax.swing.JLabel;
import javax.swing.JPanel;
import org.estampage.examples.editor.model.Meshes;
import org.estampage.examples.editor.model.OpenMesh;
import org.estampage.mesh.Axis;
import org.jspecify.annotations.Nullable;

/** Which meshes are open, and the buttons that open and close them. */
final class MeshesCard {
    private final Meshes meshes;
    private final JPanel panel = Widgets.card("Meshes");
    private final JLabel low = new JLabel();
    private final JPanel highs = new JPanel();

    MeshesCard(Meshes meshes, FileDialogs dialogs) {
        this.meshes = meshes;
        highs.setLayout(new BoxLayout(highs, BoxLayout.PAGE_AXIS));
        highs.setOpaque(false);
        low.setName("low poly");
        Widgets.add(panel, Widgets.row(low, null,
                Widgets.button("open low", "Low poly…", "Open the mesh that gets the maps (Ctrl+L)", event -> dialogs.openLow())));
        Widgets.add(panel, highs);
        JCheckBox upright = Widgets.named(new JCheckBox("Z is up"), "z up", "Z points up in the files");
        upright.setToolTipText("Z points up in the files: what is open, and what is opened from now on, is turned so that it stands");
        upright.addActionListener(event -> {
            meshes.turn(upright.isSelected() ? Axis.Z : Axis.Y);
            upright.setSelected(meshes.up().get() == Axis.Z); // until it is done, and where it is refused
        });
        meshes.up().onChange(axis -> upright.setSelected(axis == Axis.Z));
        Widgets.add(panel, Widgets.row(upright, null,
                Widgets.button("add high", "Add high poly…", "Open meshes whose detail is carried over (Ctrl+H)",
                        event -> dialogs.addHighs())));
        meshes.low().show(this::showLow);
        meshes.highs().show(this::showHighs);
    }

    /** Returns the component. */
    JPanel component() {
        return panel;
    }

    private void showLow(@Nullable OpenMesh open) {
        describe(low, open, "No low poly yet");
    }

    private void showHighs(List<OpenMesh> open) {
        highs.removeAll();
        if (open.isEmpty()) {
            JLabel none = new JLabel();
            describe(none, null, "No high poly yet");
            highs.add(Widgets.row(none, null));
        }
        for (OpenMesh high : open) {
            JLabel label = new JLabel();
            describe(label, high, "");
            JButton close = Widgets.button("close " + high.name(), "×", "Close " + high.name(), event -> meshes.remove(high));
            close.getAccessibleContext().setAccessibleName("Close " + high.name());
            close.putClientProperty("JButton.buttonType", "toolBarButton");
            highs.add(Widgets.row(label, null, close));
        }
        highs.revalidate();
        highs.repaint();
    }

    private static void describe(JLabel label, @Nullable OpenMesh open, String none) {
        if (open == null) {
            label.setText(none);
            label.setForeground(Widgets.pale());
            return;
        }
        String count = Widgets.grouped(open.mesh().triangleCount());
        label.setText("<html><b>" + Widgets.shortened(open.name(), 24) + "</b><br><small>" + count + " triangles"
                + (open.mesh().uvSets().isEmpty() ? "" : ", UVs") + "</small></html>");
        label.setForeground(null);
        label.setToolTipText(open.file().toString());
    }
}
