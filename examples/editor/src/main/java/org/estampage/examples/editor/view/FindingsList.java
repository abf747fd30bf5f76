package org.estampage.examples.editor.view;

import java.awt.BorderLayout;
import java.awt.Component;
import java.awt.event.MouseAdapter;
import java.awt.event.MouseEvent;
import java.util.List;
import javax.swing.BorderFactory;
import javax.swing.DefaultListModel;
import javax.swing.JLabel;
import javax.swing.JList;
import javax.swing.JPanel;
import javax.swing.JScrollPane;
import javax.swing.ListCellRenderer;
import javax.swing.ListSelectionModel;
import javax.swing.UIManager;
import org.estampage.examples.editor.model.Noted;
import org.estampage.examples.editor.model.Spot;
import org.estampage.examples.editor.model.Workspace;
import org.estampage.finding.Severity;

/** What the engine noticed. A click, or Enter, goes to the finding's first place, and with each further one to the next. */
final class FindingsList {
    private final Workspace workspace;
    private final JPanel panel = new JPanel(new BorderLayout());
    private final JLabel headline = new JLabel();
    private final DefaultListModel<Noted> rows = new DefaultListModel<>();
    private final JList<Noted> list = Widgets.named(new JList<>(rows), "findings", "What was noticed");
    private int visited = -1;
    private int next;

    FindingsList(Workspace workspace) {
        this.workspace = workspace;
        headline.putClientProperty("FlatLaf.styleClass", "h4");
        headline.setBorder(BorderFactory.createEmptyBorder(Widgets.NEAR, Widgets.FAR, 4, Widgets.FAR));
        list.setSelectionMode(ListSelectionModel.SINGLE_SELECTION);
        list.setCellRenderer(new Row());
        list.addMouseListener(new MouseAdapter() {
            @Override
            public void mouseClicked(MouseEvent event) {
                goThere();
            }
        });
        Widgets.onKey(list, "ENTER", this::goThere);
        JScrollPane scroll = new JScrollPane(list);
        scroll.setBorder(BorderFactory.createEmptyBorder());
        panel.add(headline, BorderLayout.PAGE_START);
        panel.add(scroll, BorderLayout.CENTER);
        workspace.findings().show(this::show);
    }

    /** Returns the component. */
    JPanel component() {
        return panel;
    }

    private void show(List<Noted> findings) {
        headline.setText(findings.isEmpty() ? "Nothing was noticed" : "Noticed (" + findings.size() + ")");
        rows.clear();
        rows.addAll(findings);
        visited = -1;
    }

    private void goThere() {
        int index = list.getSelectedIndex();
        if (index < 0) {
            return;
        }
        List<Spot> spots = rows.get(index).spots();
        if (spots.isEmpty()) {
            return;
        }
        next = index == visited ? (next + 1) % spots.size() : 0;
        visited = index;
        workspace.spot().set(null); // so that going to the same place again goes there
        workspace.spot().set(spots.get(next));
    }

    /** Draws a finding: how much it matters, what and where it is, what to do. */
    private static final class Row extends JPanel implements ListCellRenderer<Noted> {
        private static final long serialVersionUID = 1;
        private final JLabel what = new JLabel();
        private final JLabel remedy = new JLabel();

        Row() {
            super(new BorderLayout());
            setBorder(BorderFactory.createEmptyBorder(3, Widgets.FAR, 3, Widgets.FAR));
            remedy.putClientProperty("FlatLaf.styleClass", "small");
            remedy.setBorder(BorderFactory.createEmptyBorder(0, 18, 0, 0));
            add(what, BorderLayout.PAGE_START);
            add(remedy, BorderLayout.CENTER);
        }

        @Override
        public Component getListCellRendererComponent(JList<? extends Noted> owner, Noted noted, int index, boolean selected,
                boolean focused) {
            int places = noted.spots().size();
            what.setIcon(new Dot(colour(noted.finding().severity())));
            what.setText(noted.about() + ": " + noted.finding().message());
            remedy.setText(noted.finding().remedy()
                    + (places == 0 ? "" : places == 1 ? "  ·  click to see where" : "  ·  click for " + places + " places"));
            setBackground(selected ? owner.getSelectionBackground() : owner.getBackground());
            what.setForeground(selected ? owner.getSelectionForeground() : owner.getForeground());
            remedy.setForeground(selected ? owner.getSelectionForeground() : Widgets.pale());
            getAccessibleContext()
                    .setAccessibleName(word(noted.finding().severity()) + ": " + what.getText() + ". " + noted.finding().remedy());
            return this;
        }

        private static String word(Severity severity) {
            return switch (severity) {
                case NOTE -> "Note";
                case WARNING -> "Warning";
                case ERROR -> "Error";
            };
        }

        private static java.awt.Color colour(Severity severity) {
            java.awt.Color colour = UIManager.getColor(switch (severity) {
                case NOTE -> "Actions.Blue";
                case WARNING -> "Actions.Yellow";
                case ERROR -> "Actions.Red";
            });
            return colour == null ? java.awt.Color.GRAY : colour;
        }
    }
}
