package org.estampage.examples.editor.view;

import java.awt.BorderLayout;
import java.time.Duration;
import javax.swing.BorderFactory;
import javax.swing.JButton;
import javax.swing.JLabel;
import javax.swing.JPanel;
import javax.swing.JProgressBar;
import org.estampage.examples.editor.model.Jobs;
import org.jspecify.annotations.Nullable;

/** What goes on, how far it is, when it will end, and the button that stops it. */
final class StatusStrip {
    private static final int FINE = 1000;

    private final JPanel panel = new JPanel(new BorderLayout(Widgets.FAR, 0));
    private final JLabel text = new JLabel();
    private final JProgressBar bar = Widgets.named(new JProgressBar(0, FINE), "progress", "Progress");
    private final JButton cancel;

    StatusStrip(Jobs jobs) {
        cancel = Widgets.button("cancel", "Cancel", "Stop what is going on (Esc)", event -> jobs.cancel());
        text.setName("status");
        panel.setBorder(BorderFactory.createEmptyBorder(4, Widgets.FAR, 4, Widgets.FAR));
        panel.add(text, BorderLayout.LINE_START);
        panel.add(bar, BorderLayout.CENTER);
        panel.add(cancel, BorderLayout.LINE_END);
        jobs.running().show(this::show);
    }

    /** Returns the component. */
    JPanel component() {
        return panel;
    }

    private void show(Jobs.@Nullable Running running) {
        bar.setVisible(running != null);
        cancel.setEnabled(running != null && !running.stopping());
        if (running == null) {
            text.setText("Ready");
            return;
        }
        bar.setIndeterminate(Double.isNaN(running.part()));
        bar.setValue(Double.isNaN(running.part()) ? 0 : (int) (FINE * running.part()));
        Duration left = running.left();
        text.setText(running.title() + (running.stage().isEmpty() ? "" : " · " + running.stage())
                + (left == null ? "" : " · " + Widgets.spoken(left) + " left"));
    }
}
