package org.estampage.examples.editor.view;

import java.awt.Color;
import java.awt.Component;
import java.awt.Dimension;
import java.awt.Font;
import java.awt.Graphics2D;
import java.awt.RenderingHints;
import java.awt.event.ActionEvent;
import java.awt.event.ActionListener;
import java.time.Duration;
import java.util.Locale;
import javax.swing.AbstractAction;
import javax.swing.Action;
import javax.swing.BorderFactory;
import javax.swing.Box;
import javax.swing.BoxLayout;
import javax.swing.JButton;
import javax.swing.JComponent;
import javax.swing.JLabel;
import javax.swing.JPanel;
import javax.swing.KeyStroke;
import javax.swing.SwingConstants;
import javax.swing.UIManager;
import org.jspecify.annotations.Nullable;

/** Small things that views are made of, so that they look and speak alike. */
final class Widgets {
    /** Between things that belong together, and between those that don't, in pixels. */
    static final int NEAR = 6;
    static final int FAR = 14;

    private Widgets() {
    }

    /** Returns the component, called so: by programs that find it, and by those that read it aloud. */
    static <T extends JComponent> T named(T component, String name, String spoken) {
        component.setName(name);
        component.getAccessibleContext().setAccessibleName(spoken);
        return component;
    }

    /** Returns a button. */
    static JButton button(String name, String text, String tip, ActionListener pressed) {
        JButton button = named(new JButton(text), name, text.replace("…", ""));
        button.setToolTipText(tip);
        button.addActionListener(pressed);
        return button;
    }

    /** Returns a label that is smaller and paler than others and breaks its lines. */
    static JLabel hint(String name, int lines) {
        JLabel label = text(name, lines);
        label.putClientProperty("FlatLaf.styleClass", "small");
        label.setForeground(pale());
        return label;
    }

    /** Returns a label with room for so many lines, so that what is below stays where it is while its text changes. */
    static JLabel text(String name, int lines) {
        JLabel label = new JLabel() {
            private static final long serialVersionUID = 1;

            @Override
            public Dimension getPreferredSize() {
                Dimension size = super.getPreferredSize();
                return new Dimension(size.width, Math.max(size.height, lines * getFontMetrics(getFont()).getHeight()));
            }
        };
        label.setName(name);
        label.setVerticalAlignment(SwingConstants.TOP);
        return label;
    }

    /** Returns the colour of what matters less. */
    static Color pale() {
        Color colour = UIManager.getColor("Label.disabledForeground");
        return colour == null ? Color.GRAY : colour;
    }

    /** Returns the text with line breaks where the width asks for them. */
    static String wrapped(String text, int width) {
        return "<html><div style='width:" + width + "px'>" + text.replace("&", "&amp;").replace("<", "&lt;").replace("\n", "<br>")
                + "</div></html>";
    }

    /** Returns a number with thin gaps between its thousands. */
    static String grouped(long number) {
        return String.format(Locale.ROOT, "%,d", number).replace(',', '\u202F');
    }

    /** Returns a time in seconds, or minutes where it is long. */
    static String spoken(Duration time) {
        long seconds = Math.max(1, time.plusMillis(500).toSeconds());
        return seconds < 100 ? seconds + " s" : (seconds + 30) / 60 + " min";
    }

    /** Returns a name whose middle is left out where it is long. */
    static String shortened(String name, int most) {
        return name.length() <= most ? name : name.substring(0, most / 2) + "…" + name.substring(name.length() - (most - most / 2 - 1));
    }

    /** Returns a column with a headline, whose parts are as wide as it is. */
    static JPanel card(String title) {
        JPanel card = new JPanel();
        card.setLayout(new BoxLayout(card, BoxLayout.PAGE_AXIS));
        card.setBorder(BorderFactory.createEmptyBorder(NEAR + 2, FAR, NEAR, FAR));
        JLabel headline = new JLabel(title);
        headline.putClientProperty("FlatLaf.styleClass", "h4");
        add(card, headline);
        card.getAccessibleContext().setAccessibleName(title);
        return card;
    }

    /** Adds a row to a column. */
    static void add(JPanel column, JComponent row) {
        row.setAlignmentX(Component.LEFT_ALIGNMENT);
        column.add(row);
        column.add(Box.createVerticalStrut(NEAR));
    }

    /** Returns a row of components; one that is {@code null} is room between those before it and those behind. */
    static JPanel row(@Nullable JComponent... parts) {
        JPanel row = new JPanel() {
            private static final long serialVersionUID = 1;

            @Override
            public Dimension getMaximumSize() {
                return new Dimension(Integer.MAX_VALUE, getPreferredSize().height);
            }
        };
        row.setOpaque(false);
        row.setLayout(new BoxLayout(row, BoxLayout.LINE_AXIS));
        boolean first = true;
        for (JComponent part : parts) {
            if (!first) {
                row.add(Box.createHorizontalStrut(NEAR));
            }
            row.add(part == null ? Box.createHorizontalGlue() : part);
            first = false;
        }
        return row;
    }

    /** Returns a label of a field, which a key with Alt goes to. */
    static JLabel label(String text, int mnemonic, JComponent field) {
        JLabel label = new JLabel(text);
        label.setLabelFor(field);
        label.setDisplayedMnemonic(mnemonic);
        return label;
    }

    /** Lets a key do something while a component has the focus. */
    static void onKey(JComponent component, String key, Runnable action) {
        component.getInputMap(JComponent.WHEN_FOCUSED).put(KeyStroke.getKeyStroke(key), key);
        component.getActionMap().put(key, action(key, action));
    }

    /** Returns an action. */
    static Action action(String name, Runnable body) {
        return new AbstractAction(name) {
            private static final long serialVersionUID = 1;

            @Override
            public void actionPerformed(ActionEvent event) {
                body.run();
            }
        };
    }

    /** Returns a font of letters that are all as wide as each other. */
    static Font monospaced(float size) {
        Font font = UIManager.getFont("monospaced.font");
        return (font == null ? new Font(Font.MONOSPACED, Font.PLAIN, 12) : font).deriveFont(size);
    }

    /** Returns graphics that draw smooth lines and letters; to be disposed of. */
    static Graphics2D smooth(java.awt.Graphics graphics) {
        Graphics2D g = (Graphics2D) graphics.create();
        g.setRenderingHint(RenderingHints.KEY_ANTIALIASING, RenderingHints.VALUE_ANTIALIAS_ON);
        g.setRenderingHint(RenderingHints.KEY_TEXT_ANTIALIASING, RenderingHints.VALUE_TEXT_ANTIALIAS_ON);
        g.setRenderingHint(RenderingHints.KEY_STROKE_CONTROL, RenderingHints.VALUE_STROKE_PURE);
        return g;
    }
}
