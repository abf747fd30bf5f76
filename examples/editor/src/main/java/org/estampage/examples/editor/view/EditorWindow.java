package org.estampage.examples.editor.view;

import com.formdev.flatlaf.FlatDarkLaf;
import com.formdev.flatlaf.FlatLaf;
import com.formdev.flatlaf.FlatLightLaf;
import java.awt.BorderLayout;
import java.awt.Dimension;
import java.awt.event.KeyEvent;
import javax.swing.BorderFactory;
import javax.swing.Box;
import javax.swing.JCheckBoxMenuItem;
import javax.swing.JComponent;
import javax.swing.JFrame;
import javax.swing.JMenu;
import javax.swing.JMenuBar;
import javax.swing.JMenuItem;
import javax.swing.JPanel;
import javax.swing.JScrollPane;
import javax.swing.JSplitPane;
import javax.swing.KeyStroke;
import javax.swing.ScrollPaneConstants;
import org.estampage.examples.editor.model.Workspace;

/** The window: settings on the left in the order of the work, the 3D view and the maps beside each other, what was noticed below. */
public final class EditorWindow {
    private static final int SETTINGS_WIDTH = 300;

    private final Workspace workspace;
    private final JFrame frame = new JFrame("Estampage");
    private final ScenePane scene;
    private final SaveCard save;
    private final FileDialogs dialogs;

    /** Makes the window of a workspace; it is not shown yet. */
    public EditorWindow(Workspace workspace) {
        this.workspace = workspace;
        dialogs = new FileDialogs(workspace.meshes(), () -> frame);
        scene = new ScenePane(workspace);
        save = new SaveCard(workspace, dialogs);
        JSplitPane views = split(JSplitPane.HORIZONTAL_SPLIT, scene.component(), new MapPane(workspace).component(), 0.58);
        JPanel upper = new JPanel(new BorderLayout());
        upper.add(new NoticeBar(workspace.jobs()).component(), BorderLayout.PAGE_START);
        upper.add(views, BorderLayout.CENTER);
        JSplitPane right = split(JSplitPane.VERTICAL_SPLIT, upper, new FindingsList(workspace).component(), 0.82);
        JPanel all = new JPanel(new BorderLayout());
        all.add(settings(), BorderLayout.LINE_START);
        all.add(right, BorderLayout.CENTER);
        all.add(new StatusStrip(workspace.jobs()).component(), BorderLayout.PAGE_END);
        frame.setContentPane(all);
        frame.setJMenuBar(menus());
        frame.setDefaultCloseOperation(JFrame.DISPOSE_ON_CLOSE);
        frame.setMinimumSize(new Dimension(900, 560));
        frame.setSize(1280, 800);
        frame.getRootPane().registerKeyboardAction(event -> workspace.jobs().cancel(), KeyStroke.getKeyStroke("ESCAPE"),
                JComponent.WHEN_IN_FOCUSED_WINDOW);
    }

    /** Returns the frame. */
    public JFrame frame() {
        return frame;
    }

    /** Lets the window look dark or light. */
    public void setDark(boolean dark) {
        if (dark) {
            FlatDarkLaf.setup();
        } else {
            FlatLightLaf.setup();
        }
        FlatLaf.updateUI();
        scene.view().setDark(dark);
    }

    private JScrollPane settings() {
        JPanel column = new SettingsColumn();
        column.add(new MeshesCard(workspace.meshes(), dialogs).component());
        column.add(new CageCard(workspace.cage()).component());
        column.add(new BakeCard(workspace).component());
        column.add(save.component());
        column.add(Box.createVerticalGlue());
        JScrollPane scroll = new JScrollPane(column, ScrollPaneConstants.VERTICAL_SCROLLBAR_AS_NEEDED,
                ScrollPaneConstants.HORIZONTAL_SCROLLBAR_NEVER);
        scroll.setBorder(BorderFactory.createEmptyBorder());
        scroll.setPreferredSize(new Dimension(SETTINGS_WIDTH, 0));
        scroll.getVerticalScrollBar().setUnitIncrement(16);
        return scroll;
    }

    private static JSplitPane split(int direction, JComponent first, JComponent second, double part) {
        JSplitPane split = new JSplitPane(direction, true, first, second);
        split.setResizeWeight(part);
        split.setBorder(BorderFactory.createEmptyBorder());
        return split;
    }

    private JMenuBar menus() {
        JMenuBar bar = new JMenuBar();
        JMenu file = menu(bar, "File", KeyEvent.VK_F);
        item(file, "Open low poly…", "ctrl L", dialogs::openLow);
        item(file, "Add high poly…", "ctrl H", dialogs::addHighs);
        item(file, "Save maps", "ctrl S", save::save);
        file.addSeparator();
        item(file, "Close", "ctrl Q", frame::dispose);
        JMenu bake = menu(bar, "Bake", KeyEvent.VK_B);
        item(bake, "Start", "ctrl B", workspace.bake()::start);
        item(bake, "Cancel", "ctrl PERIOD", workspace.jobs()::cancel);
        JMenu look = menu(bar, "View", KeyEvent.VK_V);
        item(look, "See all", "ctrl 0", workspace::lookAtAll);
        JCheckBoxMenuItem dark = new JCheckBoxMenuItem("Dark window");
        dark.setName("dark");
        dark.setAccelerator(KeyStroke.getKeyStroke("ctrl D"));
        dark.addActionListener(event -> setDark(dark.isSelected()));
        look.add(dark);
        return bar;
    }

    private static JMenu menu(JMenuBar bar, String title, int mnemonic) {
        JMenu menu = new JMenu(title);
        menu.setMnemonic(mnemonic);
        bar.add(menu);
        return menu;
    }

    private static void item(JMenu menu, String title, String key, Runnable action) {
        JMenuItem item = new JMenuItem(Widgets.action(title, action));
        item.setAccelerator(KeyStroke.getKeyStroke(key));
        menu.add(item);
    }
}
