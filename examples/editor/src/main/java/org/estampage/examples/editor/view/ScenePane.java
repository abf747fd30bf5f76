package org.estampage.examples.editor.view;

import java.awt.BorderLayout;
import java.util.function.BiFunction;
import java.util.function.Predicate;
import javax.swing.BorderFactory;
import javax.swing.JButton;
import javax.swing.JPanel;
import javax.swing.JToggleButton;
import org.estampage.examples.editor.model.Layers;
import org.estampage.examples.editor.model.Workspace;

/** The 3D view with what chooses what it shows. */
final class ScenePane {
    private final Workspace workspace;
    private final JPanel panel = new JPanel(new BorderLayout());
    private final SceneView view;

    ScenePane(Workspace workspace) {
        this.workspace = workspace;
        view = new SceneView(workspace);
        JButton all = Widgets.button("see all", "See all", "Turn back so that all is seen (Home)", event -> workspace.lookAtAll());
        JPanel bar = Widgets.row(toggle("High poly", "show high", Layers::high, Layers::withHigh),
                toggle("Low poly", "show low", Layers::low, Layers::withLow), toggle("Cage", "show cage", Layers::cage, Layers::withCage),
                null, all);
        bar.setBorder(BorderFactory.createEmptyBorder(Widgets.NEAR, Widgets.NEAR, Widgets.NEAR, Widgets.NEAR));
        panel.add(bar, BorderLayout.PAGE_START);
        panel.add(view, BorderLayout.CENTER);
        DropZones.on(view, workspace.meshes());
    }

    /** Returns the component. */
    JPanel component() {
        return panel;
    }

    /** Returns the 3D view. */
    SceneView view() {
        return view;
    }

    private JToggleButton toggle(String text, String name, Predicate<Layers> shown, BiFunction<Layers, Boolean, Layers> change) {
        JToggleButton button = Widgets.named(new JToggleButton(text), name, "Show " + text.toLowerCase(java.util.Locale.ROOT));
        button.addActionListener(event -> workspace.layers().set(change.apply(workspace.layers().get(), button.isSelected())));
        workspace.layers().show(layers -> button.setSelected(shown.test(layers)));
        return button;
    }
}
