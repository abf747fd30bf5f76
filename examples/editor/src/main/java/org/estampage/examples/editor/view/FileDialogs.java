package org.estampage.examples.editor.view;

import java.awt.Component;
import java.io.File;
import java.nio.file.Path;
import java.util.Arrays;
import java.util.List;
import java.util.Optional;
import java.util.function.Supplier;
import javax.swing.JFileChooser;
import javax.swing.filechooser.FileNameExtensionFilter;
import org.estampage.examples.editor.model.Meshes;
import org.estampage.io.MeshFiles;

/** Asks for files. Dialogs remember the folder as long as the window is open. */
final class FileDialogs {
    private final Meshes meshes;
    private final Supplier<Component> owner;
    private final JFileChooser meshChooser = new JFileChooser(new File("").getAbsoluteFile());

    FileDialogs(Meshes meshes, Supplier<Component> owner) {
        this.meshes = meshes;
        this.owner = owner;
        String[] endings = MeshFiles.formats().stream().flatMap(format -> format.endings().stream()).toArray(String[]::new);
        meshChooser.setFileFilter(new FileNameExtensionFilter("Meshes (" + String.join(", ", endings) + ")", endings));
    }

    /** Asks for a low poly and opens it. */
    void openLow() {
        meshChooser.setDialogTitle("Low poly: the mesh that gets the maps");
        meshChooser.setMultiSelectionEnabled(false);
        if (meshChooser.showOpenDialog(owner.get()) == JFileChooser.APPROVE_OPTION) {
            meshes.openLow(meshChooser.getSelectedFile().toPath());
        }
    }

    /** Asks for high polys and opens them. */
    void addHighs() {
        meshChooser.setDialogTitle("High polys: the meshes whose detail is carried over");
        meshChooser.setMultiSelectionEnabled(true);
        if (meshChooser.showOpenDialog(owner.get()) == JFileChooser.APPROVE_OPTION) {
            List<Path> files = Arrays.stream(meshChooser.getSelectedFiles()).map(File::toPath).toList();
            meshes.addHighs(files);
        }
    }

    /** Asks for a folder. */
    Optional<Path> folder(Path current) {
        JFileChooser chooser = new JFileChooser(current.toFile());
        chooser.setDialogTitle("Folder for the maps");
        chooser.setFileSelectionMode(JFileChooser.DIRECTORIES_ONLY);
        return chooser.showDialog(owner.get(), "Choose") == JFileChooser.APPROVE_OPTION
                ? Optional.of(chooser.getSelectedFile().toPath())
                : Optional.empty();
    }
}
