package org.estampage.examples.editor.view;

import java.nio.file.InvalidPathException;
import java.nio.file.Path;
import javax.swing.JButton;
import javax.swing.JCheckBox;
import javax.swing.JComboBox;
import javax.swing.JPanel;
import javax.swing.JTextField;
import org.estampage.examples.editor.model.Notice;
import org.estampage.examples.editor.model.OpenMesh;
import org.estampage.examples.editor.model.SaveFormat;
import org.estampage.examples.editor.model.Workspace;
import org.jspecify.annotations.Nullable;

/** Where the maps go, in which format, and the button that saves them. */
final class SaveCard {
    private final Workspace workspace;
    private final JPanel panel = Widgets.card("Hand over");
    private final JTextField folder = Widgets.named(new JTextField("maps"), "folder", "Folder for the maps");
    private final JTextField name = Widgets.named(new JTextField("maps"), "name", "What the files' names begin with");
    private final JComboBox<SaveFormat> format = Widgets.named(new JComboBox<>(SaveFormat.values()), "format", "Format of the maps");
    private final JCheckBox model = Widgets.named(new JCheckBox("and a GLB model"), "model", "Save a GLB model in the maps, too");
    private final JButton save = Widgets.button("save", "Save", "Write the maps and their manifest (Ctrl+S)", event -> save());

    SaveCard(Workspace workspace, FileDialogs dialogs) {
        this.workspace = workspace;
        JButton choose = Widgets.button("choose folder", "…", "Choose the folder", event -> choose(dialogs));
        choose.getAccessibleContext().setAccessibleName("Choose the folder for the maps");
        model.setToolTipText("One file with the low poly and the maps that glTF knows");
        Widgets.add(panel, Widgets.row(Widgets.label("Folder", 'f', folder), folder, choose));
        Widgets.add(panel, Widgets.row(Widgets.label("Name", 'n', name), name));
        Widgets.add(panel, Widgets.row(Widgets.label("As", 'a', format), format, null));
        Widgets.add(panel, Widgets.row(model, null, save));
        workspace.meshes().low().onChange(this::suggestName);
        workspace.bake().result().onChange(result -> showState());
        workspace.jobs().running().onChange(running -> showState());
        showState();
    }

    /** Returns the component. */
    JPanel component() {
        return panel;
    }

    /** Saves as the fields say. */
    void save() {
        try {
            SaveFormat chosen = format.getItemAt(format.getSelectedIndex());
            workspace.saving().start(Path.of(folder.getText().strip()).toAbsolutePath(), name.getText().strip(), chosen,
                    model.isSelected());
        } catch (InvalidPathException wrong) {
            workspace.jobs().notice().set(Notice.problem("This is no folder", folder.getText() + ": " + wrong.getReason()));
        }
    }

    private void choose(FileDialogs dialogs) {
        dialogs.folder(Path.of(folder.getText()).toAbsolutePath()).ifPresent(chosen -> folder.setText(chosen.toString()));
    }

    /** Files are called after the low poly, and lie beside it, until the user says otherwise. */
    private void suggestName(@Nullable OpenMesh low) {
        if (low != null) {
            String plain = low.name().contains(".") ? low.name().substring(0, low.name().lastIndexOf('.')) : low.name();
            name.setText(plain);
            folder.setText(low.file().toAbsolutePath().resolveSibling("maps").toString());
        }
    }

    private void showState() {
        save.setEnabled(workspace.bake().result().get() != null && !workspace.jobs().isBusy());
    }
}
