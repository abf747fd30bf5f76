package org.estampage.examples.editor.view;

import java.awt.BorderLayout;
import java.awt.Color;
import javax.swing.BorderFactory;
import javax.swing.JButton;
import javax.swing.JLabel;
import javax.swing.JPanel;
import javax.swing.UIManager;
import org.estampage.examples.editor.model.Jobs;
import org.estampage.examples.editor.model.Notice;
import org.jspecify.annotations.Nullable;

/** Tells what was done or went wrong, above the views, until it is put away. Work goes on beside it. */
final class NoticeBar {
    private final JPanel panel = new JPanel(new BorderLayout(Widgets.FAR, 0));
    private final JLabel text = new JLabel();

    NoticeBar(Jobs jobs) {
        text.setName("notice");
        JButton away = Widgets.button("notice away", "Put away", "Hide this message", event -> jobs.notice().set(null));
        panel.add(text, BorderLayout.CENTER);
        panel.add(away, BorderLayout.LINE_END);
        jobs.notice().show(this::show);
    }

    /** Returns the component. */
    JPanel component() {
        return panel;
    }

    private void show(@Nullable Notice notice) {
        panel.setVisible(notice != null);
        if (notice != null) {
            Color colour = UIManager.getColor(notice.kind() == Notice.Kind.PROBLEM ? "Actions.Red" : "Actions.Green");
            panel.setBorder(BorderFactory.createCompoundBorder(
                    BorderFactory.createMatteBorder(0, Widgets.NEAR, 0, 0, colour == null ? Color.GRAY : colour),
                    BorderFactory.createEmptyBorder(Widgets.NEAR, Widgets.FAR, Widgets.NEAR, Widgets.FAR)));
            text.setText(Widgets.wrapped("\u0001" + notice.headline() + "\u0002" + notice.detail(), 560).replace("\u0001", "<b>").replace(
                    "\u0002",
                    "</b><br>"));
            text.getAccessibleContext().setAccessibleName(notice.headline() + ". " + notice.detail());
        }
    }
}
